/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Covariance of the field's error between places: the formula of uncertainty.c, off its diagonal.
 * Two solves a place give the covariance of heat everywhere with all other places. */
#include "field/joint.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/can_share.h"
#include "field/discrepancy.h"
#include "field/wide_heat.h"

#define BLOCK 32 /* right-hand sides solved at once */

typedef struct joint_work {
    const fit_data *data;
    const length_fit *fit;
    balance *matrix;
    size_t nodes, readings, places;
    const sf_place *wanted; /* per place */
    grid_sample *samples;   /* per place */
    double *at_k;           /* per place: rise of the board expected there */
    double *heat;           /* per node: variance of heat that the weights were made for */
    double *wide_heat;      /* per node: the same with unlikely sources */
    double *adjoint;        /* BLOCK rows of nodes */
    double *heated;         /* BLOCK rows of nodes: the same times wide_heat, then its field */
    double *weights;        /* places rows of readings: C(x,r), then W(x) */
    double *wide;           /* places rows of readings: C(x,r) with unlikely sources */
    double *between;        /* readings x readings: C(r,r) with unlikely sources */
    double *knots;          /* places rows of knots: change with the share of each */
    double *loads;          /* per reading: what one of what cans share adds to it */
    double *row;            /* the longer of readings and places */
    double *covariance;     /* places x places, of the answer */
} joint_work;

static bool allocate(joint_work *of)
{
    size_t longer = of->readings > of->places ? of->readings : of->places;
    of->samples = array_new(of->places, sizeof *of->samples);
    of->at_k = array_new(of->places, sizeof(double));
    of->loads = array_new(of->readings, sizeof(double));
    of->heat = array_new(of->nodes, sizeof(double));
    of->wide_heat = array_new(of->nodes, sizeof(double));
    of->adjoint = array_new(BLOCK * of->nodes, sizeof(double));
    of->heated = array_new(BLOCK * of->nodes, sizeof(double));
    of->weights = array_new(of->places * of->readings, sizeof(double));
    of->wide = array_new(of->places * of->readings, sizeof(double));
    of->between = array_new(of->readings * of->readings, sizeof(double));
    of->knots = array_new(of->places * of->data->copper.knots, sizeof(double));
    of->row = array_new(longer, sizeof(double));
    return of->samples && of->at_k && of->loads && of->heat && of->wide_heat && of->adjoint &&
           of->heated && of->weights && of->wide && of->between && of->knots && of->row;
}

static void clear(joint_work *of)
{
    free(of->samples);
    free(of->at_k);
    free(of->loads);
    free(of->heat);
    free(of->wide_heat);
    free(of->adjoint);
    free(of->heated);
    free(of->weights);
    free(of->wide);
    free(of->between);
    free(of->knots);
    free(of->row);
}

/* C(x,r) of heat everywhere, narrow and wide, for the place whose influence is given. */
static void meet_readings(joint_work *of, const double *adjoint, size_t place)
{
    for (size_t i = 0; i < of->readings; i++) {
        const double *other = of->fit->green.adjoint + i * of->nodes;
        double narrow = 0, wide = 0;
        for (size_t node = 0; node < of->nodes; node++) {
            double both = adjoint[node] * other[node];
            narrow += both * of->heat[node];
            wide += both * of->wide_heat[node];
        }
        of->weights[place * of->readings + i] = narrow;
        of->wide[place * of->readings + i] = wide;
    }
}

/* C(x,y) and C(x,r) of heat everywhere for a block of places x. */
static sf_status add_block(joint_work *of, size_t first, size_t count)
{
    memset(of->adjoint, 0, count * of->nodes * sizeof *of->adjoint);
    for (size_t p = 0; p < count; p++) {
        const grid_sample *sample = &of->samples[first + p];
        for (size_t k = 0; k < sample->count; k++)
            of->adjoint[p * of->nodes + (size_t)sample->nodes[k]] = sample->weights[k];
    }
    sf_status status = balance_solve(of->matrix, of->adjoint, of->adjoint, count);
    if (status != SF_OK)
        return status;
    for (size_t p = 0; p < count; p++)
        for (size_t node = 0; node < of->nodes; node++)
            of->heated[p * of->nodes + node] =
                of->adjoint[p * of->nodes + node] * of->wide_heat[node];
    status = balance_solve(of->matrix, of->heated, of->heated, count);
    for (size_t p = 0; status == SF_OK && p < count; p++) {
        double *row = of->covariance + (first + p) * of->places;
        for (size_t q = 0; q < of->places; q++)
            row[q] += sample_value(&of->samples[q], of->heated + p * of->nodes);
        meet_readings(of, of->adjoint + p * of->nodes, first + p);
    }
    if (status == SF_OK)
        copper_at_knots(&of->data->copper, of->fit->green.length_mm, of->adjoint, count,
                        of->knots + first * of->data->copper.knots);
    return status;
}

static sf_status add_heat(joint_work *of)
{
    sf_status status = SF_OK;
    for (size_t first = 0; status == SF_OK && first < of->places; first += BLOCK) {
        size_t rest = of->places - first;
        status = add_block(of, first, rest < BLOCK ? rest : BLOCK);
    }
    return status;
}

/* One cause of unknown strength of standard deviation sd: a unit of it makes of->row of the places,
 * and of reading i at_readings[i * stride]. */
static void add_cause(joint_work *of, const double *at_readings, size_t stride, double sd)
{
    for (size_t p = 0; p < of->places; p++) {
        double share = sd * sd * of->row[p];
        for (size_t q = 0; q < of->places; q++)
            of->covariance[p * of->places + q] += share * of->row[q];
        for (size_t i = 0; i < of->readings; i++) {
            of->weights[p * of->readings + i] += share * at_readings[i * stride];
            of->wide[p * of->readings + i] += share * at_readings[i * stride];
        }
    }
}

static void add_copper(joint_work *of)
{
    size_t knots = of->data->copper.knots;
    for (size_t k = 0; k < knots; k++) {
        for (size_t p = 0; p < of->places; p++)
            of->row[p] = of->knots[p * knots + k];
        add_cause(of, of->fit->green.copper_at + k, knots, of->fit->fitted.copper);
    }
}

static double share_at(const joint_work *of, size_t place)
{
    return of->wanted[place].on_can ? CAN_SHARE : 1;
}

/* What the model is off by, at places and readings. */
static void add_discrepancy(joint_work *of)
{
    const hyperparameters *at = &of->fit->fitted;
    double square = at->off_share * at->off_share;
    for (size_t p = 0; at->off_share > 0 && p < of->places; p++) {
        sf_point here = {of->wanted[p].x_mm, of->wanted[p].y_mm};
        double rise_k = share_at(of, p) * of->at_k[p];
        for (size_t q = 0; q < of->places; q++)
            of->covariance[p * of->places + q] +=
                square * rise_k * share_at(of, q) * of->at_k[q] *
                discrepancy_alike(here, (sf_point){of->wanted[q].x_mm, of->wanted[q].y_mm},
                                  at->off_mm);
        for (size_t i = 0; i < of->readings; i++) {
            double both = discrepancy_seen(of->data, at, here, rise_k, i);
            of->weights[p * of->readings + i] += both;
            of->wide[p * of->readings + i] += both;
        }
    }
}

/* One of what all cans have together. */
static void add_cans_shared(joint_work *of, size_t shared)
{
    for (size_t i = 0; i < of->readings; i++)
        of->loads[i] = can_reading_load_k(of->data, shared, i);
    for (size_t p = 0; p < of->places; p++)
        of->row[p] = of->wanted[p].on_can ? can_load_k(shared, of->at_k[p], of->data->cool_k) : 0;
    add_cause(of, of->loads, 1, 1);
}

/* What all cans have together, and what each has alone; one that was read also shows its own heat.
 */
static void add_cans(joint_work *of)
{
    const fit_data *data = of->data;
    for (size_t k = 0; k < CANS_SHARED; k++)
        add_cans_shared(of, k);
    for (size_t p = 0; p < of->places; p++) {
        if (!of->wanted[p].on_can)
            continue;
        double alone_k2 = can_scatter_k2(of->at_k[p]);
        size_t read = of->readings; /* the last one on this can stands for the can */
        for (size_t i = 0; i < of->readings; i++)
            if (data->on_can[i] && data->can[i] == of->wanted[p].can)
                read = i;
        if (read < of->readings)
            alone_k2 = can_between_k2(data, read, read);
        for (size_t i = 0; read < of->readings && i < of->readings; i++) {
            double shared_k2 = can_between_k2(data, read, i);
            of->weights[p * of->readings + i] += shared_k2;
            of->wide[p * of->readings + i] += shared_k2;
        }
        for (size_t q = 0; q < of->places; q++)
            if (of->wanted[q].on_can && of->wanted[q].can == of->wanted[p].can)
                of->covariance[p * of->places + q] += alone_k2;
    }
}

static sf_point place_of(const joint_work *of, size_t place)
{
    return (sf_point){of->wanted[place].x_mm, of->wanted[place].y_mm};
}

static void add_listed(joint_work *of)
{
    const green_functions *green = &of->fit->green;
    for (size_t p = 0; p < of->places; p++)
        of->row[p] = sample_value(&of->samples[p], green->uniform);
    add_cause(of, green->uniform_at, 1, of->data->background_k);
    for (size_t j = 0; j < green->sources; j++) {
        for (size_t p = 0; p < of->places; p++)
            of->row[p] = source_value(of->data, green, j, &of->samples[p], place_of(of, p));
        add_cause(of, green->source_at + j, green->sources, of->fit->under.strength_sd[j]);
    }
}

/* Takes away what the readings tell: - C(x,r)W(y) - W(x)'C(r,y) + W(x)'C(r,r)W(y). */
static void condition(joint_work *of)
{
    size_t readings = of->readings, places = of->places;
    for (size_t p = 0; p < places; p++) {
        double *weights = of->weights + p * readings;
        for (size_t i = 0; i < readings; i++)
            of->row[i] = dot(of->fit->under.inverse + i * readings, weights, readings);
        memcpy(weights, of->row, readings * sizeof *weights);
    }
    for (size_t p = 0; p < places; p++) {
        const double *weights = of->weights + p * readings;
        for (size_t i = 0; i < readings; i++)
            of->row[i] =
                dot(of->between + i * readings, weights, readings) - of->wide[p * readings + i];
        for (size_t q = 0; q < places; q++)
            of->covariance[p * places + q] += dot(of->row, of->weights + q * readings, readings) -
                                              dot(weights, of->wide + q * readings, readings);
    }
}

/* What the readings tell of the errors they have together: -W(x)'c of a place, and I -
 * c'C(r,r)^-1c. No heat bears on these errors beforehand, so the narrow weights serve. */
static void add_common(joint_work *of, sf_joint_rise *joint)
{
    const double *common_k = of->data->common_k;
    for (size_t k = 0; k < SF_COMMON_COUNT; k++) {
        for (size_t i = 0; i < of->readings; i++)
            of->loads[i] = common_k[i * SF_COMMON_COUNT + k];
        for (size_t p = 0; p < of->places; p++)
            joint->common_k[p * SF_COMMON_COUNT + k] =
                -dot(of->loads, of->weights + p * of->readings, of->readings);
        double *row = joint->common_between + k * SF_COMMON_COUNT;
        row[k] = 1;
        for (size_t i = 0; i < of->readings; i++) {
            double told = dot(of->fit->under.inverse + i * of->readings, of->loads, of->readings);
            for (size_t j = 0; j < SF_COMMON_COUNT; j++)
                row[j] -= told * common_k[i * SF_COMMON_COUNT + j];
        }
    }
}

/* What a candidate of 1 K mm2 makes at every place that the readings do not show. */
static sf_status see_candidate(joint_work *of, size_t candidate)
{
    const unlisted *found = &of->fit->found;
    const footprint *cover = &found->from->covers[candidate];
    const double *at = found->at_readings + candidate * of->readings;
    memset(of->adjoint, 0, of->nodes * sizeof *of->adjoint);
    for (size_t s = 0; s < cover->count; s++)
        of->adjoint[cover->shares[s].node] = cover->shares[s].share / cover->area_mm2;
    sf_status status = balance_solve(of->matrix, of->adjoint, of->adjoint, 1);
    for (size_t p = 0; status == SF_OK && p < of->places; p++)
        of->row[p] = sample_value(&of->samples[p], of->adjoint) -
                     dot(at, of->weights + p * of->readings, of->readings);
    return status;
}

static void add_outer(joint_work *of, const double *vector, double factor)
{
    for (size_t p = 0; p < of->places; p++)
        for (size_t q = 0; q < of->places; q++)
            of->covariance[p * of->places + q] += factor * vector[p] * vector[q];
}

/* Sources that likely stand at a place: strength and place unsure. */
static sf_status add_likely_sources(joint_work *of)
{
    const unlisted *found = &of->fit->found;
    double *mean = array_new(of->places, sizeof *mean);
    sf_status status = mean ? SF_OK : SF_ERROR_MEMORY;
    for (int k = 0; status == SF_OK && found->from && k < EFFECT_COUNT; k++) {
        const effect *one = &found->effects[k];
        memset(mean, 0, of->places * sizeof *mean);
        for (size_t c = 0; status == SF_OK && c < found->from->count; c++) {
            if (!candidate_likely(one, c))
                continue;
            status = see_candidate(of, c);
            add_outer(of, of->row, candidate_square(one, c));
            for (size_t p = 0; p < of->places; p++)
                mean[p] += one->share[c] * one->mean[c] * of->row[p];
        }
        add_outer(of, mean, -1);
    }
    free(mean);
    return status;
}

static void add_spread(joint_work *of, const length_average *averaged, const model_result *result)
{
    for (size_t i = 0; i < averaged->count; i++)
        joint_add_spread(of->data, result, &averaged->fits[i].mean, averaged->weights[i], of->row);
}

static void symmetrise(joint_work *of)
{
    for (size_t p = 0; p < of->places; p++)
        for (size_t q = 0; q < p; q++) {
            double *one = &of->covariance[p * of->places + q];
            double *other = &of->covariance[q * of->places + p];
            *one = *other = (*one + *other) / 2;
        }
}

sf_status joint_fill(const fit_data *data, balance *matrix, const length_average *averaged,
                     const model_result *result)
{
    joint_work of = {.data = data,
                     .fit = &averaged->fits[averaged->best],
                     .matrix = matrix,
                     .nodes = data->laid->nodes,
                     .readings = data->readings,
                     .places = result->joint->count,
                     .wanted = result->places,
                     .covariance = result->joint->covariance_k2};
    sf_status status = allocate(&of) ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        joint_set_means(data, result, of.samples);
        for (size_t p = 0; p < of.places; p++)
            of.at_k[p] = sample_value(&of.samples[p], data->rise_guess_k) / share_at(&of, p);
        heat_variances(data, of.fit, of.heat, of.wide_heat);
        status = wide_covariance(of.fit, of.heat, of.wide_heat, of.between);
    }
    if (status == SF_OK)
        status = balance_factor(matrix, of.fit->green.length_mm, data->loss);
    if (status == SF_OK)
        status = add_heat(&of);
    if (status == SF_OK) {
        add_listed(&of);
        add_copper(&of);
        add_discrepancy(&of);
        add_cans(&of);
        condition(&of);
        add_common(&of, result->joint);
        status = add_likely_sources(&of);
    }
    if (status == SF_OK) {
        add_spread(&of, averaged, result);
        symmetrise(&of);
    }
    clear(&of);
    return status;
}
