/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Pixels of a thermogram, averaged over the cells they fall in. */
#ifndef SPOTFIELD_FIELD_PIXEL_CELLS_H
#define SPOTFIELD_FIELD_PIXEL_CELLS_H

#include "field/grid.h"
#include "spotfield/reading.h"

/* The mean of a cell's pixels. */
typedef struct pixel_cell {
    double x_mm, y_mm; /* mean place */
    double rise_k;
    double variance_k2; /* of the mean, what all pixels share not included */
    double alike;       /* cells about it that err with it, itself among them */
} pixel_cell;

/* Averages pixels, each where it lies on the board, in order of the cells. *cells is new, *count
 * at most the grid's nodes, freed with free(). SF_ERROR_MEMORY. */
sf_status pixel_cells_make(const sf_pixels *pixels, const grid *laid, pixel_cell **cells,
                           size_t *count);

#endif
