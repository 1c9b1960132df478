/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Solves the balance, forward and adjoint, for everything that one spreading length needs. */
#include "field/green.h"

#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/can_share.h"

static bool allocate(green_functions *made, size_t knots)
{
    size_t nodes = made->nodes, readings = made->readings, sources = made->sources;
    /* influence, uniform and fields stand in one block, so that one call solves for all */
    made->adjoint = array_new((readings + 1 + sources) * nodes, sizeof(double));
    if (!made->adjoint)
        return false;
    made->uniform = made->adjoint + readings * nodes;
    made->fields = made->uniform + nodes;
    made->own = array_new(sources, sizeof(double));
    made->uniform_at = array_new(readings, sizeof(double));
    made->source_at = array_new(readings * sources, sizeof(double));
    made->white = array_new(readings * readings, sizeof(double));
    made->patch = array_new(readings * readings, sizeof(double));
    made->copper_at = array_new(readings * knots, sizeof(double));
    made->copper = array_new(readings * readings, sizeof(double));
    made->held = array_new(readings * readings, sizeof(double));
    made->away_mm = array_new(readings * readings, sizeof(double));
    return made->own && made->uniform_at && made->source_at && made->white && made->patch &&
           made->copper_at && made->copper && made->held && made->away_mm;
}

static void set_right_sides(const fit_data *data, green_functions *made)
{
    for (size_t i = 0; i < made->readings; i++)
        for (size_t k = 0; k < data->samples[i].count; k++)
            made->adjoint[i * made->nodes + (size_t)data->samples[i].nodes[k]] =
                data->samples[i].weights[k];
    for (size_t node = 0; node < made->nodes; node++)
        made->uniform[node] = data->loss[node]; /* in warmer air every place is as much warmer */
    for (size_t j = 0; j < made->sources; j++)
        for (size_t k = 0; k < data->covers[j].count; k++)
            made->fields[j * made->nodes + (size_t)data->covers[j].shares[k].node] =
                data->covers[j].shares[k].share / data->covers[j].area_mm2;
}

static sf_status set_own_rises(const fit_data *data, green_functions *made)
{
    double cell_mm2 = data->laid->cell_mm * data->laid->cell_mm;
    double *sorted = array_new(made->sources, sizeof *sorted);
    if (!sorted)
        return SF_ERROR_MEMORY;
    for (size_t j = 0; j < made->sources; j++) {
        const footprint *cover = &data->covers[j];
        double sum = 0;
        for (size_t k = 0; k < cover->count; k++)
            sum += cover->shares[k].share *
                   made->fields[j * made->nodes + (size_t)cover->shares[k].node];
        sorted[j] = made->own[j] = sum * cell_mm2 / cover->area_mm2 +
                                   data->peaks[j].own / (made->length_mm * made->length_mm);
    }
    made->own_median = made->sources ? gsl_stats_median(sorted, 1, made->sources) : 1;
    free(sorted);
    return SF_OK;
}

static void set_copper(const fit_data *data, green_functions *made)
{
    size_t knots = data->copper.knots, readings = made->readings;
    copper_at_knots(&data->copper, made->length_mm, made->adjoint, readings, made->copper_at);
    for (size_t i = 0; i < readings; i++)
        for (size_t k = 0; k <= i; k++)
            made->copper[i * readings + k] = made->copper[k * readings + i] =
                dot(made->copper_at + i * knots, made->copper_at + k * knots, knots);
}

enum { NODES_AT_ONCE = 128 };

/* Of so many nodes, since all that is summed over them then stands in the cache: adds to row `i` of
 * the covariances of white heat and of heat that goes with the rise. */
static void add_covariances(const fit_data *data, green_functions *made, size_t i, size_t from,
                            size_t count)
{
    double weighted[NODES_AT_ONCE];
    const double *rows = made->adjoint + from, *row = rows + i * made->nodes;
    const double *rise_k = data->rise_guess_k + from;
    double *white = made->white + i * made->readings, *patch = made->patch + i * made->readings;
    for (size_t node = 0; node < count; node++)
        weighted[node] = row[node] * rise_k[node] * rise_k[node];
    add_dots_of_two(row, weighted, rows, made->nodes, i + 1, count, white, patch);
}

/* Covariances between readings of heat that is independent from node to node. */
static void set_covariances(const fit_data *data, green_functions *made)
{
    size_t nodes = made->nodes, readings = made->readings;
    for (size_t from = 0; from < nodes; from += NODES_AT_ONCE)
        for (size_t i = 0; i < readings; i++)
            add_covariances(data, made, i, from,
                            nodes - from < NODES_AT_ONCE ? nodes - from : NODES_AT_ONCE);
    for (size_t i = 0; i < readings; i++)
        for (size_t k = 0; k <= i; k++) {
            size_t at = i * readings + k;
            made->white[k * readings + i] = made->white[at] *= made->node_variance;
            made->patch[k * readings + i] = made->patch[at] *= made->node_variance;
        }
}

/* A search for hyperparameters asks for the covariance many hundred times. */
static void set_held(const fit_data *data, green_functions *made)
{
    size_t readings = made->readings;
    double b = data->background_k;
    for (size_t i = 0; i < readings; i++)
        for (size_t k = 0; k <= i; k++) {
            sf_point one = data->points[i], other = data->points[k];
            made->held[i * readings + k] = b * b * made->uniform_at[i] * made->uniform_at[k] +
                                           common_between_k2(data, i, k) +
                                           cans_between_k2(data, i, k);
            made->away_mm[i * readings + k] = hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm);
        }
}

double source_value(const fit_data *data, const green_functions *green, size_t source,
                    const grid_sample *sample, sf_point place)
{
    return sample_value(sample, green->fields + source * green->nodes) +
           peak_between(&data->peaks[source], data->laid, sample, place) /
               (green->length_mm * green->length_mm);
}

/* Gives the sources' fields the peaks that cells do not show, and tells what all make of the
 * readings. */
static void see_sources(const fit_data *data, green_functions *made)
{
    for (size_t j = 0; j < made->sources; j++)
        peak_correct(&data->peaks[j], data->laid, 1 / (made->length_mm * made->length_mm),
                     made->fields + j * made->nodes);
    for (size_t i = 0; i < made->readings; i++) {
        const grid_sample *sample = &data->samples[i];
        made->uniform_at[i] = sample_value(sample, made->uniform);
        for (size_t j = 0; j < made->sources; j++)
            made->source_at[i * made->sources + j] =
                source_value(data, made, j, sample, data->points[i]);
    }
}

sf_status green_functions_make(const fit_data *data, balance *matrix, double length_mm,
                               green_functions *green)
{
    double steps = length_mm / data->laid->cell_mm;
    *green = (green_functions){.length_mm = length_mm,
                               .nodes = data->laid->nodes,
                               .readings = data->readings,
                               .sources = data->input->source_count,
                               .node_variance = 4 * M_PI * steps * steps};
    if (!allocate(green, data->copper.knots))
        return SF_ERROR_MEMORY;
    set_right_sides(data, green);
    /* heat of one unit strength in K mm2 is 1/cell area in the cell it falls on */
    sf_status status = balance_factor(matrix, length_mm, data->loss);
    if (status == SF_OK)
        status = balance_solve(matrix, green->adjoint, green->adjoint,
                               green->readings + 1 + green->sources);
    if (status == SF_OK) {
        see_sources(data, green);
        status = set_own_rises(data, green);
    }
    if (status == SF_OK) {
        set_copper(data, green);
        set_held(data, green);
        set_covariances(data, green);
    }
    return status;
}

void green_functions_clear(green_functions *green)
{
    free(green->adjoint);
    free(green->own);
    free(green->uniform_at);
    free(green->source_at);
    free(green->white);
    free(green->patch);
    free(green->copper_at);
    free(green->copper);
    free(green->held);
    free(green->away_mm);
    *green = (green_functions){0};
}
