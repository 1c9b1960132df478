/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Places and outlines on a board, in millimetres. */
#ifndef SPOTFIELD_GEOMETRY_H
#define SPOTFIELD_GEOMETRY_H

#include <stddef.h>

/* A place on the board, from its lower left corner, component side. */
typedef struct sf_point {
    double x_mm; /* to the right */
    double y_mm; /* up */
} sf_point;

/* A closed polygon; the last corner joins the first. */
typedef struct sf_ring {
    int number;       /* as written in the file; 0 is the edge of the board */
    sf_point *points; /* count corners, at least 3 */
    size_t count;
    char *reason; /* why a no-touch area is one; "" elsewhere */
} sf_ring;

#endif
