/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Places on the board in the words of someone who looks at it: by a heat source, in a corner, along
 * an edge. */
#ifndef SPOTFIELD_LIFE_BOARD_PLACE_H
#define SPOTFIELD_LIFE_BOARD_PLACE_H

#include <stddef.h>

#include "spotfield/job.h"

/* What stands farther than this from a heat source is not told to be around it. */
#define AROUND_MM 30.0

#define NO_SOURCE ((size_t)-1)

/* From a place to the turned footprint of a source in mm, 0 on it. */
double source_distance(const sf_source *source, double x_mm, double y_mm);

/* The source nearest a place, at most AROUND_MM away; NO_SOURCE where there is none. */
size_t source_around(const sf_job *job, double x_mm, double y_mm);

/* A part of the board; both texts are static. */
typedef struct board_place {
    const char *name;  /* "upper left" */
    const char *where; /* "in the upper left" */
} board_place;

enum { BOARD_THIRDS = 9 };

/* The third of the board, across and up, in which a place lies: 0 lower left to 8 upper right.
 * Both shares are of the board's extent; what lies outside counts as the edge. */
size_t board_third(double share_across, double share_up);
board_place third_place(size_t third);

/* How far something reaches, and its centre of area. */
typedef struct extent {
    double least_x_mm, most_x_mm, least_y_mm, most_y_mm;
    double centre_x_mm, centre_y_mm;
} extent;

/* The part of a board that something takes up: the edge it runs along, else the third its centre
 * lies in; what reaches over the board both ways about its middle is the rest of it. */
board_place extent_place(const extent *of, const extent *board);

/* "on the rest of the board". */
board_place rest_place(void);

#endif
