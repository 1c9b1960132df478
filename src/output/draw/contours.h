/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lines of equal value over a lattice of samples. */
#ifndef SPOTFIELD_OUTPUT_DRAW_CONTOURS_H
#define SPOTFIELD_OUTPUT_DRAW_CONTOURS_H

#include <stdbool.h>
#include <stddef.h>

#include "output/draw/place.h"
#include "spotfield/status.h"

/* Samples in the picture, row by row from above, at least 2 by 2. */
typedef struct lattice {
    size_t columns, rows;
    double left_px, top_px, step_px; /* place of the first sample, distance to the next */
    float *values;
} lattice;

/* One line; a closed one ends on the place it began on. */
typedef struct contour {
    double level;
    size_t first, count; /* of its places in the set */
    bool closed;
} contour;

/* Start as { 0 }; freed with contours_free. */
typedef struct contours {
    contour *lines;
    size_t count, capacity;
    place *places;
    size_t place_count, place_capacity;
} contours;

/* Adds every line of each level: marching squares, crossings by linear interpolation along the
 * lattice's edges, saddles decided by their mean. SF_ERROR_MEMORY. */
sf_status contours_trace(const lattice *on, const double *levels, size_t level_count,
                         contours *into);
void contours_free(contours *freed);

#endif
