/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Bicubic surface over the cells. */
#include "field/surface.h"

#include <gsl/gsl_spline2d.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/fit_data.h"

#define SPLINE_CELLS_LEAST 4 /* that gsl_interp2d_bicubic needs each way */
#define SWING 0.1

struct surface {
    const grid *laid;
    double *values;       /* per node */
    gsl_spline2d *spline; /* NULL on a board too small for one */
};

/* Mean of the neighbours of a cell that hold a value; false where none does. */
static bool mean_about(const grid *laid, const double *cells, const unsigned char *set, size_t cell,
                       double *mean)
{
    size_t column = cell % laid->columns, row = cell / laid->columns, near[4], count = 0, held = 0;
    double sum = 0;
    if (column > 0)
        near[count++] = cell - 1;
    if (column + 1 < laid->columns)
        near[count++] = cell + 1;
    if (row > 0)
        near[count++] = cell - laid->columns;
    if (row + 1 < laid->rows)
        near[count++] = cell + laid->columns;
    for (size_t n = 0; n < count; n++)
        if (set[near[n]]) {
            sum += cells[near[n]];
            held++;
        }
    *mean = held ? sum / (double)held : 0;
    return held > 0;
}

/* Gives outside cells the mean of their neighbours that hold a value, ring by ring outwards. */
static sf_status extend(const grid *laid, const double *values, double *cells)
{
    size_t count = laid->columns * laid->rows, unset = 0, reached = 0;
    unsigned char *set = array_new(count, 1);
    size_t *found = array_new(count, sizeof *found);
    double *means = array_new(count, sizeof *means);
    sf_status status = set && found && means ? SF_OK : SF_ERROR_MEMORY;
    for (size_t cell = 0; status == SF_OK && cell < count; cell++) {
        set[cell] = laid->inside[cell];
        unset += !set[cell];
        cells[cell] = set[cell] ? values[laid->node_of_cell[cell]] : 0;
    }
    for (; status == SF_OK && unset > 0; unset -= reached) {
        reached = 0;
        for (size_t cell = 0; cell < count; cell++)
            if (!set[cell] && mean_about(laid, cells, set, cell, &means[reached]))
                found[reached++] = cell;
        for (size_t i = 0; i < reached; i++) {
            cells[found[i]] = means[i];
            set[found[i]] = 1;
        }
    }
    free(set);
    free(found);
    free(means);
    return status;
}

static sf_status lay_spline(surface *made)
{
    const grid *laid = made->laid;
    double *across = array_new(laid->columns, sizeof *across);
    double *upward = array_new(laid->rows, sizeof *upward);
    double *cells = array_new(laid->columns * laid->rows, sizeof *cells);
    sf_status status =
        across && upward && cells ? extend(laid, made->values, cells) : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        for (size_t column = 0; column < laid->columns; column++)
            across[column] = cell_x_mm(laid, column);
        for (size_t row = 0; row < laid->rows; row++)
            upward[row] = cell_y_mm(laid, row * laid->columns);
        made->spline = gsl_spline2d_alloc(gsl_interp2d_bicubic, laid->columns, laid->rows);
        status = made->spline ? SF_OK : SF_ERROR_MEMORY;
    }
    if (status == SF_OK &&
        gsl_spline2d_init(made->spline, across, upward, cells, laid->columns, laid->rows))
        status = SF_ERROR_NUMERIC;
    free(across);
    free(upward);
    free(cells);
    return status;
}

sf_status surface_new(const grid *laid, const double *values, surface **made)
{
    *made = NULL;
    surface *one = array_new(1, sizeof *one);
    if (!one)
        return SF_ERROR_MEMORY;
    one->laid = laid;
    one->values = array_new(laid->nodes, sizeof *one->values);
    sf_status status = one->values ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        memcpy(one->values, values, laid->nodes * sizeof *values);
        if (laid->columns >= SPLINE_CELLS_LEAST && laid->rows >= SPLINE_CELLS_LEAST)
            status = lay_spline(one);
    }
    if (status != SF_OK) {
        surface_free(one);
        return status;
    }
    *made = one;
    return SF_OK;
}

void surface_free(surface *made)
{
    if (!made)
        return;
    if (made->spline)
        gsl_spline2d_free(made->spline);
    free(made->values);
    free(made);
}

double surface_at(const surface *of, double x_mm, double y_mm)
{
    grid_sample sample = grid_sample_at(of->laid, x_mm, y_mm);
    double bilinear = sample_value(&sample, of->values), smooth;
    if (!sample.whole || !of->spline)
        return bilinear;
    double least = INFINITY, most = -INFINITY;
    for (size_t corner = 0; corner < 4; corner++) {
        size_t cell = sample.lower_left + (corner & 1) + (corner >> 1) * of->laid->columns;
        double value = of->values[of->laid->node_of_cell[cell]];
        least = fmin(least, value);
        most = fmax(most, value);
    }
    if (gsl_spline2d_eval_e(of->spline, x_mm, y_mm, NULL, NULL, &smooth))
        return bilinear;
    double swing = SWING * (most - least);
    return fmin(fmax(smooth, least - swing), most + swing);
}
