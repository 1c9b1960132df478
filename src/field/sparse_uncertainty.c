/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit of many readings leaves to doubt: at places, of the cans' share, and of each reading
 * from the others. Terms as in sparse.c. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/sparse.h"

/* L^-1 column with L the factor of the unknowns' precision; returns its square, what their doubt
 * adds. */
static double unknown_doubt(const sparse_fit *fit, double *column)
{
    size_t count = fit->unknowns.count;
    double sum = 0;
    for (size_t c = 0; c < count; c++) {
        const double *row = fit->posterior + c * count;
        column[c] = (column[c] - dot(row, column, c)) / row[c];
        sum += column[c] * column[c];
    }
    return sum;
}

void sparse_unknown_row(const fit_data *data, const sparse_fit *fit, const grid_sample *sample,
                        sf_point place, double *row)
{
    const shared_unknowns *of = &fit->unknowns;
    size_t nodes = fit->green.nodes;
    for (size_t c = 0; c < of->count; c++)
        row[c] = of->sd[c] * (sparse_unknown_value(data, fit, c, sample, place) -
                              sample_value(sample, fit->answers + c * nodes));
    unknown_doubt(fit, row);
}

static void take_unknown(const sparse_fit *fit, size_t unknown, double *column)
{
    memset(column, 0, fit->unknowns.count * sizeof *column);
    column[unknown] = 1;
    unknown_doubt(fit, column);
}

void sparse_common(const sparse_fit *fit, size_t common, double *column)
{
    take_unknown(fit, fit->unknowns.common + common, column);
}

cans_told sparse_cans(const sparse_fit *fit, double *columns)
{
    cans_told told;
    size_t count = fit->unknowns.count;
    for (size_t k = 0; k < CANS_SHARED; k++) {
        take_unknown(fit, fit->unknowns.can_share + k, columns + k * count);
        told.mean[k] = fit->unknown_mean[fit->unknowns.can_share + k];
        for (size_t j = 0; j <= k; j++)
            told.between[k][j] = told.between[j][k] =
                dot(columns + k * count, columns + j * count, count);
    }
    return told;
}

/* The error is e = white + c'u, u the unknowns it has together with others. With C^-1 as in
 * leave_out below, of e'C^-1 e the own error adds white^2 (C^-1)_ii, and as C^-1 of u's columns is
 * V^-1 G S^-1, the unknowns add c'(1 - S^-1)c. */
told_error sparse_error(const fit_data *data, const sparse_fit *fit, size_t reading,
                        sf_estimate left_out_k, double *rows)
{
    const shared_unknowns *of = &fit->unknowns;
    const double *common_k = data->common_k + reading * SF_COMMON_COUNT;
    double *own = rows, *together = rows + of->count;
    double white_k2 = reading_variance_k2(data, &fit->held, reading);
    double precise = 1 / (left_out_k.sd * left_out_k.sd);
    told_error told = {white_k2, white_k2 * fit->weights[reading], white_k2 * white_k2 * precise};
    for (size_t c = 0; c < of->count; c++)
        own[c] = fit->pulls[c * data->readings + reading];
    unknown_doubt(fit, own);
    memset(together, 0, of->count * sizeof *together);
    for (size_t k = 0; k < SF_COMMON_COUNT; k++) {
        size_t unknown = of->common + k;
        together[unknown] = common_k[k];
        told.off_k += common_k[k] * fit->unknown_mean[unknown];
        told.whole_k2 += common_k[k] * common_k[k];
        told.told_k2 += common_k[k] * common_k[k];
    }
    told.told_k2 -= unknown_doubt(fit, together);
    told.told_k2 += 2 * white_k2 * dot(own, together, of->count);
    return told;
}

static void add_node_doubt(const fit_data *data, const sparse_fit *fit, const double *heat_variance,
                           double *column, double *variance_k2)
{
    for (size_t node = 0; node < fit->green.nodes; node++) {
        size_t cell = data->laid->cell_of_node[node];
        grid_sample sample = {.nodes = {(int)node}, .weights = {1}, .count = 1};
        sparse_unknown_row(data, fit, &sample,
                           (sf_point){cell_x_mm(data->laid, cell), cell_y_mm(data->laid, cell)},
                           column);
        variance_k2[node] +=
            heat_variance[node] + fit->off_k2[node] + dot(column, column, fit->unknowns.count);
    }
}

/* In closed form from the inverse covariance C^-1 = V^-1 - V^-1 G S^-1 G' V^-1: the reading minus
 * (C^-1 r)_i / (C^-1)_ii. */
static void leave_out(const fit_data *data, const sparse_fit *fit, const double *seen_variance,
                      double *column, sf_estimate *left_out_k)
{
    const shared_unknowns *of = &fit->unknowns;
    for (size_t i = 0; i < data->readings; i++) {
        double noise = fit->variance_k2[i];
        for (size_t c = 0; c < of->count; c++)
            column[c] = fit->pulls[c * data->readings + i];
        double precision_i = (1 - seen_variance[i] / noise) / noise - unknown_doubt(fit, column);
        left_out_k[i] = leave_one_out(data, i, fit->weights[i], precision_i);
    }
}

sf_status sparse_fit_doubt(const fit_data *data, sparse_fit *fit, double *variance_k2,
                           sf_estimate *left_out_k)
{
    double *at_nodes = array_new(data->laid->nodes, sizeof *at_nodes);
    double *at_readings = array_new(data->readings, sizeof *at_readings);
    double *column = array_new(fit->unknowns.count, sizeof *column);
    sf_status status = at_nodes && at_readings && column ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = precision_variance(fit->seen, at_nodes, at_readings);
    if (status == SF_OK) {
        add_node_doubt(data, fit, at_nodes, column, variance_k2);
        leave_out(data, fit, at_readings, column, left_out_k);
    }
    free(at_nodes);
    free(at_readings);
    free(column);
    return status;
}
