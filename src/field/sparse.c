/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Heat that is independent from node to node has a sparse precision; what the readings share is
 * few columns beside it. With V = H A^-1 D A^-1 H' + R the covariance of the readings without the
 * shared unknowns, V^-1 = R^-1 - R^-1 H Q^-1 H' R^-1 (Woodbury), and the unknowns a, their columns
 * G in units of their prior sd, have precision S = 1 + G' V^-1 G and mean S^-1 G' V^-1 r. */
#include "field/sparse.h"

#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/can_share.h"
#include "field/discrepancy.h"
#include "field/shared_cans.h"

static bool allocate(const fit_data *data, size_t room, sparse_fit *made)
{
    size_t nodes = data->laid->nodes, readings = data->readings;
    made->unknowns.mean = array_new(room, sizeof(double));
    made->unknowns.sd = array_new(room, sizeof(double));
    made->unknowns.fields = array_new(room * nodes, sizeof(double));
    made->unknowns.at = array_new(room * readings, sizeof(double));
    made->variance_k2 = array_new(readings, sizeof(double));
    made->off_k2 = array_new(nodes, sizeof(double));
    made->told = array_new(nodes, sizeof(double));
    made->answers = array_new(room * nodes, sizeof(double));
    made->pulls = array_new(room * readings, sizeof(double));
    made->posterior = array_new(room * room, sizeof(double));
    made->unknown_mean = array_new(room, sizeof(double));
    made->unknown_variance = array_new(room, sizeof(double));
    made->weights = array_new(readings, sizeof(double));
    bool mean = peaked_field_new(data, &made->mean);
    return made->unknowns.mean && made->unknowns.sd && made->unknowns.fields && made->unknowns.at &&
           made->variance_k2 && made->off_k2 && made->told && made->answers && made->pulls &&
           made->posterior && made->unknown_mean && made->unknown_variance && made->weights && mean;
}

/* Fields of background and listed sources, and the priors of their strengths; leaves the balance
 * factored for the length. */
static sf_status solve_sources(const fit_data *data, balance *matrix, double length_mm,
                               sparse_fit *made)
{
    fit_data unread = *data;
    unread.readings = 0;
    gaussian priors;
    size_t nodes = data->laid->nodes, listed = data->input->source_count;
    sf_status status = green_functions_make(&unread, matrix, length_mm, &made->green);
    if (status != SF_OK)
        return status;
    status = gaussian_of(&unread, &made->green, &priors);
    if (status == SF_OK)
        status = gaussian_set(&priors, &unread, &made->green, &made->held);
    shared_unknowns *into = &made->unknowns;
    if (status == SF_OK) {
        into->mean[0] = into->sd[0] = data->background_k;
        memcpy(into->mean + 1, priors.strength_mean, listed * sizeof(double));
        memcpy(into->sd + 1, priors.strength_sd, listed * sizeof(double));
        memcpy(into->fields, made->green.uniform, nodes * sizeof(double));
        memcpy(into->fields + nodes, made->green.fields, listed * nodes * sizeof(double));
    }
    gaussian_clear(&priors);
    return status;
}

/* The copper departs from its mean by nothing, more or less. */
static sf_status solve_copper(const fit_data *data, balance *matrix, double length_mm,
                              sparse_fit *made)
{
    shared_unknowns *into = &made->unknowns;
    size_t first = 1 + into->listed;
    for (size_t k = 0; k < into->knots; k++)
        into->sd[first + k] = made->held.copper;
    return copper_fields(&data->copper, matrix, length_mm,
                         into->fields + first * data->laid->nodes);
}

/* What the model is off by: a unit of each knot in proportion to the rise, in the field as in the
 * readings; what knots leave out counts as each place's own. */
static void solve_discrepancy(const fit_data *data, const discrepancy_knots *over, sparse_fit *made)
{
    shared_unknowns *into = &made->unknowns;
    size_t nodes = data->laid->nodes, readings = data->readings,
           first = 1 + into->listed + into->knots;
    double row[DISCREPANCY_KNOTS_MOST], share = made->held.off_share;
    if (share <= 0)
        return;
    for (size_t k = 0; k < over->count; k++)
        into->sd[first + k] = 1;
    for (size_t node = 0; node < nodes; node++) {
        size_t cell = data->laid->cell_of_node[node];
        sf_point place = {cell_x_mm(data->laid, cell), cell_y_mm(data->laid, cell)};
        double off_k = share * data->rise_guess_k[node];
        made->off_k2[node] = off_k * off_k * discrepancy_knots_at(over, place, row);
        for (size_t k = 0; k < over->count; k++)
            into->fields[(first + k) * nodes + node] = off_k * row[k];
    }
    for (size_t i = 0; i < readings; i++) {
        double off_k = share * data->share[i] * data->at_k[i];
        made->variance_k2[i] += off_k * off_k * discrepancy_knots_at(over, data->points[i], row);
        for (size_t k = 0; k < over->count; k++)
            into->at[(first + k) * readings + i] = off_k * row[k];
    }
}

/* What cans or readings have together, and what a can has of its own, make no field. */
static void solve_readings(const fit_data *data, const shared_cans *cans, sparse_fit *made)
{
    shared_unknowns *into = &made->unknowns;
    size_t readings = data->readings, first = into->common;
    for (size_t k = into->can_share; k < first + SF_COMMON_COUNT + into->cans; k++)
        into->sd[k] = 1;
    for (size_t i = 0; i < readings; i++) {
        for (size_t k = 0; k < CANS_SHARED; k++)
            into->at[(into->can_share + k) * readings + i] = can_reading_load_k(data, k, i);
        for (size_t k = 0; k < SF_COMMON_COUNT; k++)
            into->at[(first + k) * readings + i] = data->common_k[i * SF_COMMON_COUNT + k];
        if (cans->of_reading[i] != SF_NO_PART)
            into->at[(first + SF_COMMON_COUNT + cans->of_reading[i]) * readings + i] =
                sqrt(can_between_k2(data, i, i));
    }
}

/* The field that answers the readings, but for what their cans make themselves. */
static sf_status tell(const fit_data *data, sparse_fit *made)
{
    double *rise_k = array_new(data->readings, sizeof *rise_k);
    if (!rise_k)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < data->readings; i++)
        rise_k[i] = data->rise_k[i] - data->own_k[i];
    sf_status status = precision_solve_readings(made->seen, rise_k, made->told, 1);
    free(rise_k);
    return status;
}

static sf_status see(const fit_data *data, const balance *matrix, sparse_fit *made)
{
    size_t nodes = data->laid->nodes;
    double *heat = array_new(nodes, sizeof *heat);
    if (!heat)
        return SF_ERROR_MEMORY;
    for (size_t node = 0; node < nodes; node++)
        heat[node] = heat_variance(data, &made->green, &made->held, node);
    sf_status status =
        precision_new(matrix, heat, data->samples, made->variance_k2, data->readings, &made->seen);
    /* ln det of the readings' covariance without the unknowns, but for the factor of R and Q */
    double sum = 2 * balance_log_determinant(matrix);
    for (size_t node = 0; node < nodes; node++)
        sum -= log(heat[node]);
    for (size_t i = 0; i < data->readings; i++)
        sum -= log(made->variance_k2[i]);
    if (status == SF_OK)
        made->log_seen = (sum - precision_log_determinant(made->seen)) / 2;
    if (status == SF_OK)
        status = tell(data, made);
    free(heat);
    return status;
}

/* V^-1 of values at the readings, from the field that answers them. */
static void weigh_readings(const fit_data *data, const sparse_fit *fit, const double *values,
                           const double *field, double *weights)
{
    for (size_t i = 0; i < data->readings; i++)
        weights[i] = (values[i] - sample_value(&data->samples[i], field)) / fit->variance_k2[i];
}

/* What discrepancy, cans and common errors add to the readings is known beforehand. */
static bool column_set(const shared_unknowns *of, size_t column)
{
    size_t first = 1 + of->listed + of->knots;
    return column >= first && column < of->common + SF_COMMON_COUNT + of->cans;
}

double sparse_unknown_value(const fit_data *data, const sparse_fit *of, size_t unknown,
                            const grid_sample *sample, sf_point place)
{
    if (unknown >= 1 && unknown <= of->unknowns.listed)
        return source_value(data, &of->green, unknown - 1, sample, place);
    return sample_value(sample, of->unknowns.fields + unknown * data->laid->nodes);
}

/* What readings and heat answer to the columns from `first` on. */
static sf_status solve_columns(const fit_data *data, size_t first, sparse_fit *made)
{
    shared_unknowns *of = &made->unknowns;
    size_t nodes = data->laid->nodes, readings = data->readings;
    for (size_t c = first; c < of->count; c++)
        for (size_t i = 0; i < readings && !column_set(of, c); i++)
            of->at[c * readings + i] =
                sparse_unknown_value(data, made, c, &data->samples[i], data->points[i]);
    sf_status status = precision_solve_readings(made->seen, of->at + first * readings,
                                                made->answers + first * nodes, of->count - first);
    for (size_t c = first; status == SF_OK && c < of->count; c++) {
        double *pull = made->pulls + c * readings;
        weigh_readings(data, made, of->at + c * readings, made->answers + c * nodes, pull);
        for (size_t i = 0; i < readings; i++)
            pull[i] *= of->sd[c];
    }
    return status;
}

/* The unknowns' posterior, then the readings' weights with them: V^-1 (r - G a). */
static sf_status solve_unknowns(const fit_data *data, const double *residual, const double *green,
                                sparse_fit *made)
{
    const shared_unknowns *of = &made->unknowns;
    size_t readings = data->readings, count = of->count;
    gsl_matrix_view factor = gsl_matrix_view_array(made->posterior, count, count);
    gsl_vector_view step = gsl_vector_view_array(made->unknown_mean, count);
    for (size_t c = 0; c < count; c++) {
        for (size_t d = 0; d <= c; d++) {
            double sum = dot(made->pulls + c * readings, of->at + d * readings, readings);
            made->posterior[c * count + d] = made->posterior[d * count + c] =
                sum * of->sd[d] + (c == d);
        }
        made->unknown_mean[c] = dot(made->pulls + c * readings, residual, readings);
    }
    if (gsl_linalg_cholesky_decomp1(&factor.matrix) ||
        gsl_linalg_cholesky_svx(&factor.matrix, &step.vector))
        return SF_ERROR_NUMERIC;
    weigh_readings(data, made, residual, green, made->weights);
    for (size_t c = 0; c < count; c++)
        for (size_t i = 0; i < readings; i++)
            made->weights[i] -= made->unknown_mean[c] * made->pulls[c * readings + i];
    made->log_posterior = made->log_seen - dot(residual, made->weights, readings) / 2;
    for (size_t c = 0; c < count; c++)
        made->log_posterior -= log(made->posterior[c * count + c]);
    return isfinite(made->log_posterior) ? SF_OK : SF_ERROR_NUMERIC;
}

/* Posterior mean: the unknowns' fields and that of the heat which the rest of the residual tells.
 */
static void set_mean(const fit_data *data, const double *green, sparse_fit *made)
{
    const shared_unknowns *of = &made->unknowns;
    size_t nodes = data->laid->nodes;
    double square_mm2 = made->green.length_mm * made->green.length_mm;
    memset(made->mean.plain_k, 0, nodes * sizeof *green);
    memcpy(made->mean.rise_k, green, nodes * sizeof *green);
    for (size_t c = 0; c < of->count; c++) {
        double step = of->sd[c] * made->unknown_mean[c], value = of->mean[c] + step;
        for (size_t node = 0; node < nodes; node++)
            made->mean.rise_k[node] +=
                value * of->fields[c * nodes + node] - step * made->answers[c * nodes + node];
        made->unknown_mean[c] = value;
    }
    for (size_t c = 0; c <= of->listed; c++)
        add_times(made->mean.plain_k, of->fields + c * nodes, made->unknown_mean[c], nodes);
    for (size_t j = 0; j < of->listed; j++)
        made->mean.peak_k[j] = made->unknown_mean[1 + j] / square_mm2;
}

/* Variance of each unknown from the factor L of their precision: its column of L^-1, squared. */
static sf_status set_unknown_variances(sparse_fit *made)
{
    size_t count = made->unknowns.count;
    double *column = array_new(count, sizeof *column);
    if (!column)
        return SF_ERROR_MEMORY;
    for (size_t c = 0; c < count; c++) {
        double squares = 0;
        for (size_t k = c; k < count; k++) {
            const double *row = made->posterior + k * count;
            column[k] = ((k == c) - dot(row + c, column + c, k - c)) / row[k];
            squares += column[k] * column[k];
        }
        made->unknown_variance[c] = made->unknowns.sd[c] * made->unknowns.sd[c] * squares;
    }
    free(column);
    return SF_OK;
}

/* Everything that follows once the columns are there; what the readings tell beyond the unknowns'
 * prior means is what they tell less what those means do. */
static sf_status settle(const fit_data *data, sparse_fit *made)
{
    const shared_unknowns *of = &made->unknowns;
    size_t nodes = data->laid->nodes, readings = data->readings;
    double *residual = array_new(readings, sizeof *residual);
    double *solved = array_new(nodes, sizeof *solved);
    sf_status status = residual && solved ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        for (size_t i = 0; i < readings; i++)
            residual[i] = data->rise_k[i] - data->own_k[i];
        memcpy(solved, made->told, nodes * sizeof *solved);
        for (size_t c = 0; c < of->count; c++) {
            add_times(residual, of->at + c * readings, -of->mean[c], readings);
            add_times(solved, made->answers + c * nodes, -of->mean[c], nodes);
        }
        status = solve_unknowns(data, residual, solved, made);
    }
    if (status == SF_OK) {
        set_mean(data, solved, made);
        status = set_unknown_variances(made);
    }
    free(residual);
    free(solved);
    return status;
}

/* A found source is one of the population of listed ones. */
static sf_status add_columns(const fit_data *data, balance *matrix, const double *found_heat,
                             size_t found_count, sparse_fit *made)
{
    shared_unknowns *into = &made->unknowns;
    size_t first = into->count;
    for (size_t k = first; k < first + found_count; k++)
        into->mean[k] = into->sd[k] = made->held.strength_k_mm2;
    into->found += found_count;
    into->count += found_count;
    return balance_solve(matrix, found_heat, into->fields + first * data->laid->nodes, found_count);
}

sf_status sparse_fit_make(const fit_data *data, balance *matrix, double length_mm,
                          const hyperparameters *held, const double *found_heat, size_t found_count,
                          sparse_fit *made)
{
    size_t listed = data->input->source_count, knots = data->copper.knots;
    discrepancy_knots over = {0};
    shared_cans cans;
    sf_status status = shared_cans_find(data, &cans);
    if (status == SF_OK && held->off_share > 0)
        status = discrepancy_knots_lay(data->laid, held->off_mm, &over);
    size_t share = 1 + listed + knots + over.count; /* long discrepancies have few knots */
    size_t count = share + CANS_SHARED + SF_COMMON_COUNT + cans.count;
    double off = log(length_mm / data->built.length_mm) / LENGTH_SD_LN;
    *made = (sparse_fit){.held = *held,
                         .unknowns = {.count = count,
                                      .listed = listed,
                                      .knots = knots,
                                      .off = over.count,
                                      .cans = cans.count,
                                      .can_share = share,
                                      .common = share + CANS_SHARED}};
    if (status == SF_OK && !allocate(data, count + SF_UNLISTED_MOST, made))
        status = SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < data->readings; i++)
        made->variance_k2[i] = data->alike[i] * reading_variance_k2(data, held, i) +
                               (cans.of_reading[i] == SF_NO_PART ? can_between_k2(data, i, i) : 0);
    if (status == SF_OK)
        status = solve_sources(data, matrix, length_mm, made);
    if (status == SF_OK)
        status = solve_copper(data, matrix, length_mm, made);
    if (status == SF_OK) {
        solve_discrepancy(data, &over, made);
        solve_readings(data, &cans, made);
        status = add_columns(data, matrix, found_heat, found_count, made);
    }
    discrepancy_knots_clear(&over);
    shared_cans_clear(&cans);
    if (status == SF_OK)
        status = see(data, matrix, made);
    made->log_seen -= off * off / 2;
    if (status == SF_OK)
        status = solve_columns(data, 0, made);
    return status == SF_OK ? settle(data, made) : status;
}

sf_status sparse_fit_add(const fit_data *data, balance *matrix, const double *found_heat,
                         sparse_fit *made)
{
    size_t first = made->unknowns.count;
    sf_status status = add_columns(data, matrix, found_heat, 1, made);
    if (status == SF_OK)
        status = solve_columns(data, first, made);
    return status == SF_OK ? settle(data, made) : status;
}

sf_status sparse_fit_drop(const fit_data *data, sparse_fit *made)
{
    made->unknowns.count--;
    made->unknowns.found--;
    return settle(data, made);
}

void sparse_fit_clear(sparse_fit *made)
{
    green_functions_clear(&made->green);
    precision_free(made->seen);
    free(made->unknowns.mean);
    free(made->unknowns.sd);
    free(made->unknowns.fields);
    free(made->unknowns.at);
    free(made->variance_k2);
    free(made->off_k2);
    free(made->told);
    free(made->answers);
    free(made->pulls);
    free(made->posterior);
    free(made->unknown_mean);
    free(made->unknown_variance);
    free(made->weights);
    peaked_field_clear(&made->mean);
    *made = (sparse_fit){0};
}
