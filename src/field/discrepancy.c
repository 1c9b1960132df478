/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Covariances of the model discrepancy (M. C. Kennedy, A. O'Hagan 2001), and the same on knots (E.
 * Snelson, Z. Ghahramani 2006). */
#include "field/discrepancy.h"

#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

#define KNOT_JITTER 1e-9 /* keeps knots that are nearly alike apart */

double discrepancy_apart(double away_mm, double length_mm)
{
    double away = sqrt(3) * away_mm / length_mm;
    return (1 + away) * exp(-away);
}

double discrepancy_alike(sf_point one, sf_point other, double length_mm)
{
    double x_mm = one.x_mm - other.x_mm, y_mm = one.y_mm - other.y_mm;
    return discrepancy_apart(sqrt(x_mm * x_mm + y_mm * y_mm), length_mm); /* hypot takes long */
}

double discrepancy_scale_k(const fit_data *data, size_t reading)
{
    return data->share[reading] * data->at_k[reading];
}

double discrepancy_seen(const fit_data *data, const hyperparameters *at, sf_point place,
                        double rise_k, size_t reading)
{
    if (at->off_share <= 0)
        return 0;
    return at->off_share * at->off_share * rise_k * discrepancy_scale_k(data, reading) *
           discrepancy_alike(place, data->points[reading], at->off_mm);
}

void discrepancy_add(const fit_data *data, const hyperparameters *at, size_t reading, double factor,
                     double *values)
{
    const grid *laid = data->laid;
    double scale = factor * at->off_share * at->off_share * discrepancy_scale_k(data, reading);
    if (at->off_share <= 0)
        return;
    for (size_t row = 0, cell = 0; row < laid->rows; row++)
        for (size_t column = 0; column < laid->columns; column++, cell++) {
            sf_point place = {((double)column + 0.5) * laid->cell_mm,
                              ((double)row + 0.5) * laid->cell_mm};
            int node = laid->node_of_cell[cell];
            if (node != NO_NODE)
                values[node] += scale * data->rise_guess_k[node] *
                                discrepancy_alike(place, data->points[reading], at->off_mm);
        }
}

sf_status discrepancy_knots_lay(const grid *laid, double length_mm, discrepancy_knots *made)
{
    grid_extent board = grid_measure(laid);
    double width_mm = board.right_mm - board.left_mm, height_mm = board.high_mm - board.low_mm;
    double step_mm = fmax(length_mm, sqrt(width_mm * height_mm / DISCREPANCY_KNOTS_MOST));
    size_t across = (size_t)fmax(1, floor(width_mm / step_mm));
    size_t up = (size_t)fmax(
        1, fmin(floor(height_mm / step_mm), floor(DISCREPANCY_KNOTS_MOST / (double)across)));
    *made = (discrepancy_knots){.count = across * up, .length_mm = length_mm};
    made->points = array_new(made->count, sizeof *made->points);
    made->factor = array_new(made->count * made->count, sizeof(double));
    if (!made->points || !made->factor)
        return SF_ERROR_MEMORY;
    for (size_t k = 0; k < made->count; k++)
        made->points[k] =
            (sf_point){board.left_mm + ((double)(k % across) + 0.5) * width_mm / (double)across,
                       board.low_mm + ((double)(k / across) + 0.5) * height_mm / (double)up};
    for (size_t k = 0; k < made->count; k++)
        for (size_t other = 0; other < made->count; other++)
            made->factor[k * made->count + other] =
                discrepancy_alike(made->points[k], made->points[other], length_mm) +
                (k == other ? KNOT_JITTER : 0);
    gsl_matrix_view factor = gsl_matrix_view_array(made->factor, made->count, made->count);
    return gsl_linalg_cholesky_decomp1(&factor.matrix) ? SF_ERROR_NUMERIC : SF_OK;
}

void discrepancy_knots_clear(discrepancy_knots *made)
{
    free(made->points);
    free(made->factor);
    *made = (discrepancy_knots){0};
}

double discrepancy_knots_at(const discrepancy_knots *of, sf_point place, double *row)
{
    double left_out = 1;
    for (size_t k = 0; k < of->count; k++) {
        const double *factor = of->factor + k * of->count;
        double alike = discrepancy_alike(place, of->points[k], of->length_mm);
        row[k] = (alike - dot(factor, row, k)) / factor[k];
        left_out -= row[k] * row[k];
    }
    return fmax(left_out, 0);
}
