/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Covariances of the model discrepancy (M. C. Kennedy, A. O'Hagan 2001), and the same on knots (E.
 * Snelson, Z. Ghahramani 2006). */
#include "field/discrepancy.h"

#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/wide.h"

#define KNOT_JITTER 1e-9 /* keeps knots that are nearly alike apart */

/* ln 2 in two parts: the first ends in zeros, so that whole times it is exact. */
#define LN2_HIGH 0x1.62e42feep-1
#define LN2_LOW 0x1.a39ef35793c76p-33
#define WHOLE 0x1.8p52 /* what is added to it loses its fraction */
#define LEAST_LOG (-700.0)
#define TERMS 14

/* e^x of x from LEAST_LOG to 0, as near as the C library's, which takes one number at a time: 2^n
 * e^r by the series of r, that is half of ln 2 at most (W. J. Cody, W. Waite, Software Manual for
 * the Elementary Functions, 1980, from memory). */
static inline double exp_of(double x)
{
    static const double of_series[TERMS] = {1. / 6227020800,
                                            1. / 479001600,
                                            1. / 39916800,
                                            1. / 3628800,
                                            1. / 362880,
                                            1. / 40320,
                                            1. / 5040,
                                            1. / 720,
                                            1. / 120,
                                            1. / 24,
                                            1. / 6,
                                            1. / 2,
                                            1,
                                            1};
    double shifted = x * M_LOG2E + WHOLE, whole = shifted - WHOLE;
    double rest = x - whole * LN2_HIGH - whole * LN2_LOW, sum = 0, power;
    uint64_t bits;
    for (int term = 0; term < TERMS; term++)
        sum = sum * rest + of_series[term];
    memcpy(&bits, &shifted, sizeof bits);
    bits = (bits + 1023) << 52;
    memcpy(&power, &bits, sizeof power);
    return sum * power;
}

/* Matern covariance of smoothness 3/2. */
static inline double alike(double away_mm, double length_mm)
{
    double away = sqrt(3) * away_mm / length_mm;
    return (1 + away) * exp_of(away < -LEAST_LOG ? -away : LEAST_LOG);
}

WIDE static void add_row(const double *away_mm, double length_mm, const double *scale_k,
                         double factor, size_t count, double *row)
{
    for (size_t k = 0; k < count; k++)
        row[k] += factor * scale_k[k] * alike(away_mm[k], length_mm);
}

void discrepancy_add_row(const double *away_mm, double length_mm, const double *scale_k,
                         double factor, size_t count, double *row)
{
    add_row(away_mm, length_mm, scale_k, factor, count, row);
}

double discrepancy_alike(sf_point one, sf_point other, double length_mm)
{
    double x_mm = one.x_mm - other.x_mm, y_mm = one.y_mm - other.y_mm;
    return alike(sqrt(x_mm * x_mm + y_mm * y_mm), length_mm); /* hypot takes long */
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

enum { CELLS_AT_ONCE = 64 };

/* Of cells that lie in a row. */
WIDE static void cells_alike(const grid *laid, size_t first, size_t count, sf_point from,
                             double length_mm, double *made)
{
    double y_mm = cell_y_mm(laid, first) - from.y_mm, x_mm = cell_x_mm(laid, first) - from.x_mm;
    double cell_mm = laid->cell_mm;
    for (int k = 0; k < (int)count; k++)
        made[k] = alike(sqrt((x_mm + k * cell_mm) * (x_mm + k * cell_mm) + y_mm * y_mm), length_mm);
}

void discrepancy_add(const fit_data *data, const hyperparameters *at, size_t reading, double factor,
                     double *values)
{
    const grid *laid = data->laid;
    double scale = factor * at->off_share * at->off_share * discrepancy_scale_k(data, reading);
    double near[CELLS_AT_ONCE];
    if (at->off_share <= 0)
        return;
    for (size_t cell = 0, count; cell < laid->columns * laid->rows; cell += count) {
        size_t left = laid->columns - cell % laid->columns;
        count = left < CELLS_AT_ONCE ? left : CELLS_AT_ONCE;
        cells_alike(laid, cell, count, data->points[reading], at->off_mm, near);
        for (size_t k = 0; k < count; k++) {
            int node = laid->node_of_cell[cell + k];
            if (node != NO_NODE)
                values[node] += scale * data->rise_guess_k[node] * near[k];
        }
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
