/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cell values as a smooth surface, sampled row by row for pixels and for isotherms. */
#ifndef SPOTFIELD_OUTPUT_DRAW_PADDED_FIELD_H
#define SPOTFIELD_OUTPUT_DRAW_PADDED_FIELD_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/field.h"
#include "spotfield/status.h"

/* Cell values with every gap filled and a rim of two cells, so that no edge shows in it. */
typedef struct padded_field {
    double cell_mm;
    size_t columns, rows; /* rim included */
    float *values;
    double least, most; /* of the cells given, before filling */
} padded_field;

/* Takes the values of cells inside the board where they are finite (and no more than a million);
 * all others are filled from their neighbours outwards. On SF_OK freed with padded_field_free.
 * SF_ERROR_MEMORY; SF_ERROR_NUMERIC where no cell has such a value. */
sf_status padded_field_make(const sf_grid *grid, const double *values, padded_field *made);
void padded_field_free(padded_field *freed);

/* Samples evenly spaced along a row, at any row: cubic convolution (R. G. Keys, IEEE Trans. ASSP
 * 29 (1981) 1153), which meets the cells and every plane, held between the values of the four
 * cells about, widened by a tenth. */
typedef struct sampler {
    const padded_field *from;
    size_t count;
    size_t *cells;      /* per sample, the cell left of it */
    float *weights[4];  /* per sample, of that cell's left neighbour, itself and two to the right */
    float *wide[4];     /* four rows of cells, sampled along x */
    size_t wide_row[4]; /* which rows they are */
    float *least, *most;
    size_t bounds_row; /* the lower row of cells that least and most hold for */
} sampler;

/* Samples at x = first_mm + i * step_mm, i below count. On SF_OK freed with sampler_close.
 * SF_ERROR_MEMORY. */
sf_status sampler_open(sampler *opened, const padded_field *from, double first_mm, double step_mm,
                       size_t count);
void sampler_close(sampler *closed);

/* Fills `samples`, count of them, with the row at y_mm. */
void sampler_row(sampler *along, double y_mm, float *samples);

/* The surface at one place, between cells linearly: for choosing pens, not for drawing. */
double padded_field_at(const padded_field *from, double x_mm, double y_mm);

#endif
