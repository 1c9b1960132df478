/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Gathers what a heat-balance fit works on. */
#include "field/fit_data.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "field/can_share.h"
#include "field/green.h"
#include "field/pixel_cells.h"
#include "field/small_bodies.h"

#define LEAST_SCALE_K 1.0 /* a board this cool has no story to tell */
#define BELOW_AIR_SDS 3.0
#define OWN_LEAST 1e-6  /* of a reading's variance */
#define LEAST_SHARE 0.3 /* of the median reading: shares are taken of at least so much rise */

double common_between_k2(const fit_data *data, size_t reading, size_t other)
{
    return dot(data->common_k + reading * SF_COMMON_COUNT, data->common_k + other * SF_COMMON_COUNT,
               SF_COMMON_COUNT);
}

static bool allocate(fit_data *made, size_t readings)
{
    size_t nodes = made->laid->nodes;
    made->points = array_new(readings, sizeof *made->points);
    made->reading_of = array_new(made->input->observation_count, sizeof *made->reading_of);
    made->members = array_new(readings, sizeof *made->members);
    made->samples = array_new(readings, sizeof *made->samples);
    made->rise_k = array_new(readings, sizeof(double));
    made->variance_k2 = array_new(readings, sizeof(double));
    made->position_k2 = array_new(readings, sizeof(double));
    made->alike = array_new(readings, sizeof(double));
    made->gross_k2 = array_new(readings, sizeof(double));
    made->share = array_new(readings, sizeof(double));
    made->on_can = array_new(readings, sizeof(bool));
    made->can = array_new(readings, sizeof *made->can);
    made->at_k = array_new(readings, sizeof(double));
    made->own_k = array_new(readings, sizeof(double));
    made->independent_k2 = array_new(readings, sizeof(double));
    made->common_k = array_new(readings * SF_COMMON_COUNT, sizeof(double));
    made->common_of_k = array_new(readings, sizeof(double));
    made->can_heats = array_new(readings, sizeof(bool));
    made->cooling = array_new(made->input->source_count, sizeof *made->cooling);
    made->idle = array_new(made->input->source_count, sizeof(bool));
    made->rise_guess_k = array_new(nodes, sizeof(double));
    made->loss = array_new(nodes, sizeof(double));
    return made->points && made->reading_of && made->members && made->samples && made->rise_k &&
           made->variance_k2 && made->position_k2 && made->alike && made->gross_k2 && made->share &&
           made->on_can && made->can && made->at_k && made->own_k && made->independent_k2 &&
           made->common_k && made->common_of_k && made->can_heats && made->cooling && made->idle &&
           made->rise_guess_k && made->loss;
}

/* Scales the priors to the board: the cool quarter of the readings tells the background, and the
 * energy balance what one source of several must give to warm the whole board so far. */
static sf_status set_hyperparameters(fit_data *made)
{
    double *sorted = array_new(made->readings, sizeof *sorted);
    if (!sorted)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < made->readings; i++)
        sorted[i] = made->rise_k[i] / made->share[i];
    gsl_sort(sorted, 1, made->readings);
    double cool = gsl_stats_quantile_from_sorted_data(sorted, 1, made->readings, 0.25);
    double middle = gsl_stats_median_from_sorted_data(sorted, 1, made->readings);
    made->cool_k = fmax(cool, LEAST_SCALE_K);
    made->least_k = fmax(LEAST_SCALE_K, LEAST_SHARE * middle);
    for (size_t i = 0; i < made->readings; i++) {
        made->at_k[i] = fmax(cool, made->least_k); /* its own rise would explain itself */
        made->own_k[i] += can_reading_air_k(made, i);
    }
    free(sorted);
    double area_mm2 = (double)made->laid->nodes * made->laid->cell_mm * made->laid->cell_mm;
    made->background_k = fmax(2 * LEAST_SCALE_K, 0.7 * made->cool_k);
    made->strength_k_mm2 = made->cool_k * area_mm2 / ((double)made->input->source_count + 1.5);
    for (size_t node = 0; node < made->laid->nodes; node++) {
        made->loss[node] = 1;
        made->rise_guess_k[node] = fmax(made->cool_k, made->least_k);
    }
    return SF_OK;
}

static size_t add_reading(fit_data *into, double x_mm, double y_mm, double rise_k,
                          double variance_k2)
{
    size_t reading = into->readings++;
    into->points[reading] = (sf_point){x_mm, y_mm};
    into->samples[reading] = grid_sample_at(into->laid, x_mm, y_mm);
    into->rise_k[reading] = into->common_of_k[reading] = rise_k;
    into->variance_k2[reading] = variance_k2;
    into->share[reading] = 1;
    into->alike[reading] = 1;
    into->members[reading] = 1;
    into->can[reading] = SF_NO_PART;
    return reading;
}

/* What was read is a share of the board's rise. */
static void take_share(fit_data *into, size_t reading, double share)
{
    grid_sample *sample = &into->samples[reading];
    into->share[reading] = share;
    for (size_t k = 0; k < sample->count; k++)
        sample->weights[k] *= share;
}

/* What was read on a can is a share of the rise below it, and the can's own heat besides. */
static void stand_on_can(fit_data *into, size_t reading, size_t can, double own_k,
                         double independent_k2)
{
    into->on_can[reading] = true;
    into->can[reading] = can;
    into->own_k[reading] = own_k;
    into->independent_k2[reading] = independent_k2;
    take_share(into, reading, CAN_SHARE);
}

static void stand_on_body(fit_data *into, size_t reading)
{
    double off_k = BODY_SHARE_SD / BODY_SHARE * into->rise_k[reading];
    into->variance_k2[reading] += off_k * off_k;
    take_share(into, reading, BODY_SHARE);
}

/* What of a reading's variance no other reading shares; some is left in any case. */
static double own_variance_k2(const sf_observation *seen)
{
    double whole_k2 = seen->sd_k * seen->sd_k, independent_k2 = whole_k2;
    for (int common = 0; common < SF_COMMON_COUNT; common++)
        independent_k2 -= seen->common_k[common] * seen->common_k[common];
    return fmax(independent_k2, OWN_LEAST * whole_k2);
}

static void add_observation(fit_data *into, const sf_observation *seen)
{
    size_t reading = add_reading(into, seen->x_mm, seen->y_mm, seen->rise_k, own_variance_k2(seen));
    memcpy(into->common_k + reading * SF_COMMON_COUNT, seen->common_k, sizeof seen->common_k);
    if (seen->rise_k < -BELOW_AIR_SDS * seen->sd_k) /* no board is colder than its air */
        into->gross_k2[reading] = UNREAD_K2;
    if (seen->spot == SF_SPOT_PART)
        stand_on_can(into, reading, seen->part, seen->own_k, seen->own_sd_k * seen->own_sd_k);
    else if (body_was_read(into->input, seen))
        stand_on_body(into, reading);
}

/* Whether a reading may be one with others of its cell: nothing but white noise and the error of
 * one instrument may tell them apart. */
static bool may_merge(const sf_field_input *of, const sf_observation *seen)
{
    return seen->spot == SF_SPOT_BOARD && seen->rise_k >= -BELOW_AIR_SDS * seen->sd_k &&
           !body_was_read(of, seen);
}

/* The mean of a reading and one more, weighed by their own variances: with the number of both it
 * holds all that they tell where their noise is white, of what they have together as of the rise.
 */
static void merge_observation(fit_data *into, size_t reading, const sf_observation *seen)
{
    double independent_k2 = own_variance_k2(seen);
    double share = into->variance_k2[reading] / (into->variance_k2[reading] + independent_k2);
    double *common_k = into->common_k + reading * SF_COMMON_COUNT;
    sf_point *at = &into->points[reading];
    at->x_mm += share * (seen->x_mm - at->x_mm);
    at->y_mm += share * (seen->y_mm - at->y_mm);
    into->rise_k[reading] += share * (seen->rise_k - into->rise_k[reading]);
    into->common_of_k[reading] = into->rise_k[reading];
    for (int common = 0; common < SF_COMMON_COUNT; common++)
        common_k[common] += share * (seen->common_k[common] - common_k[common]);
    into->variance_k2[reading] *= 1 - share;
    into->members[reading]++;
}

/* Adds the observations in the fit, those of one cell and method as one where they are many: their
 * number would cost more than it tells. */
static sf_status add_observations(fit_data *into)
{
    const sf_field_input *of = into->input;
    size_t nodes = into->laid->nodes, seen_count = 0, in_fit = 0;
    for (size_t i = 0; i < of->observation_count; i++)
        in_fit += of->observations[i].in_fit;
    bool merging = in_fit > DENSE_READINGS_MOST;
    /* per method and node: one more than the reading that stands for both, 0 for none */
    size_t *standing = array_new(merging ? SF_METHOD_COUNT * nodes : 0, sizeof *standing);
    if (!standing)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < of->observation_count; i++) {
        const sf_observation *seen = &of->observations[i];
        if (!seen->in_fit)
            continue;
        int node = merging && may_merge(of, seen)
                       ? grid_node_under(into->laid, seen->x_mm, seen->y_mm)
                       : NO_NODE;
        size_t *place =
            node == NO_NODE ? NULL : &standing[(size_t)seen->method * nodes + (size_t)node];
        into->reading_of[seen_count++] = place && *place ? *place - 1 : into->readings;
        if (place && *place)
            merge_observation(into, *place - 1, seen);
        else
            add_observation(into, seen);
        if (place)
            *place = into->reading_of[seen_count - 1] + 1;
    }
    into->merged = into->readings < in_fit;
    for (size_t i = 0; i < into->readings; i++)
        if (into->members[i] > 1)
            into->samples[i] =
                grid_sample_at(into->laid, into->points[i].x_mm, into->points[i].y_mm);
    free(standing);
    return SF_OK;
}

static sf_status cover_sources(fit_data *made)
{
    made->covers = array_new(made->input->source_count, sizeof *made->covers);
    made->peaks = array_new(made->input->source_count, sizeof *made->peaks);
    sf_status status = made->covers && made->peaks ? SF_OK : SF_ERROR_MEMORY;
    for (size_t j = 0; status == SF_OK && j < made->input->source_count; j++) {
        const sf_source *source = &made->input->sources[j];
        status = grid_cover(made->laid, source->x_mm, source->y_mm, source->width_mm,
                            source->height_mm, source->angle_deg, &made->covers[j]);
        if (status == SF_OK)
            status = peak_make(made->laid, made->input->rings, made->input->ring_count, source,
                               &made->covers[j], &made->peaks[j]);
    }
    return status;
}

sf_status fit_data_gather(const sf_field_input *input, const grid *laid, fit_data *gathered)
{
    pixel_cell *cells = NULL;
    size_t cell_count = 0;
    *gathered = (fit_data){.input = input, .laid = laid, .built = stack_up_of(input->board)};
    sf_status status =
        input->pixels ? pixel_cells_make(input->pixels, laid, &cells, &cell_count) : SF_OK;
    if (status == SF_OK && !allocate(gathered, input->observation_count + cell_count))
        status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = add_observations(gathered);
    gathered->spots = gathered->readings;
    for (size_t i = 0; status == SF_OK && i < cell_count; i++)
        gathered->alike[add_reading(gathered, cells[i].x_mm, cells[i].y_mm, cells[i].rise_k,
                                    cells[i].variance_k2)] = cells[i].alike;
    free(cells);
    if (status == SF_OK)
        status = copper_lattice_lay(laid, &gathered->copper);
    if (status == SF_OK)
        status = cover_sources(gathered);
    if (status == SF_OK)
        status = gathered->readings > 0 ? set_hyperparameters(gathered) : SF_ERROR_DATA;
    return status;
}

sf_estimate fit_data_leave_one_out(const fit_data *gathered, const sf_observation *seen,
                                   size_t spot, double white_k2, double place_k2,
                                   sf_estimate of_reading)
{
    size_t reading = gathered->reading_of[spot];
    if (gathered->members[reading] < 2)
        return of_reading;
    double share = gathered->variance_k2[reading] / own_variance_k2(seen), rest = 1 - share;
    double rest_k = (gathered->rise_k[reading] - share * seen->rise_k) / rest;
    double rest_k2 = white_k2 / rest + place_k2;
    double before_k2 =
        fmax(of_reading.sd * of_reading.sd - white_k2 - place_k2, OWN_LEAST * white_k2);
    double precision = 1 / before_k2 + 1 / rest_k2;
    return (sf_estimate){(of_reading.value / before_k2 + rest_k / rest_k2) / precision,
                         sqrt(1 / precision + white_k2 / share + place_k2)};
}

sf_status fit_data_spread(const fit_data *gathered, size_t most, size_t *chosen, size_t *count)
{
    size_t readings = gathered->readings;
    size_t hottest = readings ? gsl_stats_max_index(gathered->rise_k, 1, readings) : 0;
    return points_spread(gathered->points, readings, hottest, most, chosen, count);
}

/* The data of the same board and priors on a grid, without readings yet and with room for `room`.
 */
static sf_status start_like(const fit_data *other, const grid *laid, size_t room, fit_data *made)
{
    *made = (fit_data){.input = other->input,
                       .laid = laid,
                       .built = other->built,
                       .background_k = other->background_k,
                       .cool_k = other->cool_k,
                       .least_k = other->least_k,
                       .strength_k_mm2 = other->strength_k_mm2};
    if (!allocate(made, room))
        return SF_ERROR_MEMORY;
    sf_status status = copper_lattice_lay(laid, &made->copper);
    if (laid == other->laid) {
        made->sources_lent = true;
        made->covers = other->covers;
        made->peaks = other->peaks;
    }
    return status == SF_OK && !made->sources_lent ? cover_sources(made) : status;
}

static void take_reading(const fit_data *from, size_t reading, fit_data *into)
{
    size_t taken = add_reading(into, from->points[reading].x_mm, from->points[reading].y_mm,
                               from->rise_k[reading], from->variance_k2[reading]);
    memcpy(into->common_k + taken * SF_COMMON_COUNT, from->common_k + reading * SF_COMMON_COUNT,
           SF_COMMON_COUNT * sizeof(double));
    into->common_of_k[taken] = from->common_of_k[reading];
    if (from->on_can[reading])
        stand_on_can(into, taken, from->can[reading], from->own_k[reading],
                     from->independent_k2[reading]);
    else
        take_share(into, taken, from->share[reading]);
    into->members[taken] = from->members[reading];
    into->gross_k2[taken] = from->gross_k2[reading];
    into->at_k[taken] = from->at_k[reading];
    into->spots += reading < from->spots;
}

sf_status fit_data_thin(const fit_data *gathered, size_t most, fit_data *few)
{
    size_t count = 0, nodes = gathered->laid->nodes;
    size_t *chosen = array_new(most, sizeof *chosen);
    sf_status status = start_like(gathered, gathered->laid, most, few);
    if (!chosen)
        status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = fit_data_spread(gathered, most, chosen, &count);
    for (size_t k = 0; status == SF_OK && k < count; k++)
        take_reading(gathered, chosen[k], few);
    free(chosen);
    if (status != SF_OK)
        return status;
    memcpy(few->rise_guess_k, gathered->rise_guess_k, nodes * sizeof(double));
    memcpy(few->loss, gathered->loss, nodes * sizeof(double));
    memcpy(few->copper.drop_k, gathered->copper.drop_k,
           gathered->laid->link_count * sizeof(double));
    return SF_OK;
}

sf_status fit_data_on(const fit_data *gathered, const grid *laid, fit_data *made)
{
    sf_status status = start_like(gathered, laid, gathered->readings, made);
    if (status != SF_OK)
        return status;
    for (size_t i = 0; i < gathered->readings; i++)
        take_reading(gathered, i, made);
    for (size_t node = 0; node < laid->nodes; node++) {
        made->loss[node] = 1;
        made->rise_guess_k[node] = gathered->rise_guess_k[0]; /* the same everywhere still */
    }
    return SF_OK;
}

static void clear_sources(fit_data *gathered)
{
    for (size_t j = 0; gathered->covers && j < gathered->input->source_count; j++)
        free(gathered->covers[j].shares);
    for (size_t j = 0; gathered->peaks && j < gathered->input->source_count; j++)
        peak_clear(&gathered->peaks[j]);
    free(gathered->covers);
    free(gathered->peaks);
}

void fit_data_clear(fit_data *gathered)
{
    if (!gathered->sources_lent)
        clear_sources(gathered);
    copper_lattice_clear(&gathered->copper);
    free(gathered->points);
    free(gathered->reading_of);
    free(gathered->members);
    free(gathered->samples);
    free(gathered->rise_k);
    free(gathered->variance_k2);
    free(gathered->position_k2);
    free(gathered->alike);
    free(gathered->gross_k2);
    free(gathered->share);
    free(gathered->on_can);
    free(gathered->can);
    free(gathered->at_k);
    free(gathered->own_k);
    free(gathered->independent_k2);
    free(gathered->common_k);
    free(gathered->common_of_k);
    free(gathered->can_heats);
    free(gathered->cooling);
    free(gathered->idle);
    free(gathered->rise_guess_k);
    free(gathered->loss);
    *gathered = (fit_data){0};
}
