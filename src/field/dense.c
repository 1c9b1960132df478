/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit by the dense covariance of the readings tells: field, doubt, left-out predictions,
 * sources and hyperparameters. */
#include "field/dense.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "core/parallel.h"
#include "field/joint.h"
#include "field/judge.h"
#include "field/posterior.h"
#include "field/slip_trials.h"
#include "field/uncertainty.h"

/* The averaged fits as a posterior. */
typedef struct dense_posterior {
    const fit_data *data;
    balance *matrix;
    const length_average *averaged;
    const length_fit *best;
    double *own_k;       /* per candidate: its mean rise on its own footprint at 1 K mm2 */
    double *with_cans_k; /* CANS_SHARED rows of nodes */
    double *work;        /* CANS_SHARED rows of readings */
} dense_posterior;

static const peaked_field *mean_at(const void *of, size_t length)
{
    return &((const dense_posterior *)of)->averaged->fits[length].mean;
}

static sf_status add_doubt(void *of, model_result *result)
{
    const dense_posterior *told = of;
    const reading_part part = {result->independent_k2, result->common_shift_k, told->with_cans_k};
    return uncertainty_add(told->data, told->matrix, told->best, result->variance_k2, told->own_k,
                           &part);
}

/* What the readings tell of what all cans have together. */
static cans_told tell_cans(void *of)
{
    const fit_data *data = ((dense_posterior *)of)->data;
    const length_fit *fit = ((dense_posterior *)of)->best;
    double *work = ((dense_posterior *)of)->work;
    cans_told told = cans_untold();
    size_t count = data->readings;
    for (size_t k = 0; k < CANS_SHARED; k++)
        for (size_t i = 0; i < count; i++)
            work[k * count + i] = can_reading_load_k(data, k, i);
    for (size_t k = 0; k < CANS_SHARED; k++) {
        const double *loads_k = work + k * count;
        told.mean[k] = dot(loads_k, fit->weights, count);
        for (size_t i = 0; i < count; i++) {
            double known = dot(fit->under.inverse + i * count, loads_k, count);
            for (size_t j = 0; j < CANS_SHARED; j++)
                told.between[k][j] -= known * work[j * count + i];
        }
    }
    return told;
}

static void tell_with_cans(void *of, const grid_sample *at, sf_point place,
                           double with_k[CANS_SHARED])
{
    const dense_posterior *told = of;
    (void)place;
    for (size_t k = 0; k < CANS_SHARED; k++)
        with_k[k] = sample_value(at, told->with_cans_k + k * told->data->laid->nodes);
}

static told_error tell_error(void *of, size_t reading)
{
    const fit_data *data = ((dense_posterior *)of)->data;
    const length_fit *fit = ((dense_posterior *)of)->best;
    double *errors = ((dense_posterior *)of)->work;
    size_t count = data->readings;
    double told_k2 = 0;
    for (size_t i = 0; i < count; i++)
        errors[i] = common_between_k2(data, reading, i);
    errors[reading] += reading_variance_k2(data, &fit->fitted, reading);
    for (size_t i = 0; i < count; i++)
        told_k2 += errors[i] * dot(fit->under.inverse + i * count, errors, count);
    return (told_error){errors[reading], dot(errors, fit->weights, count), told_k2};
}

/* Posterior of the background at one length. */
static void background_at(const fit_data *data, const length_fit *fit, double *mean,
                          double *variance)
{
    const double *at = fit->green.uniform_at;
    double b = data->background_k, known = 0;
    for (size_t i = 0; i < data->readings; i++)
        known += at[i] * dot(fit->under.inverse + i * data->readings, at, data->readings);
    *mean = b + b * b * dot(at, fit->weights, data->readings);
    *variance = fmax(b * b * (1 - b * b * known), 0);
}

static sf_status summarise(const void *of, size_t length, posterior_summary *made)
{
    const fit_data *data = ((const dense_posterior *)of)->data;
    const length_fit *fit = &((const dense_posterior *)of)->averaged->fits[length];
    sf_status status = posterior_summary_new(&fit->green, &fit->fitted, made);
    if (status != SF_OK)
        return status;
    made->loss_sd_ln = fit->loss_sd_ln;
    made->log_posterior = fit->log_posterior;
    background_at(data, fit, &made->background_k, &made->background_k2);
    for (size_t j = 0; j < data->input->source_count; j++)
        judge_strength(fit, j, &made->strength_k_mm2[j], &made->strength_k2[j]);
    return SF_OK;
}

/* Names one effect that is more likely there than not, from its likely candidates. */
static void report_effect(const length_fit *fit, const posterior_summary *told, const effect *one,
                          const double *own_k, model_result *result)
{
    const candidates *from = fit->found.from;
    mixture x = {0}, y = {0}, side = {0}, strength = {0}, rise_k = {0};
    double likely = 0;
    for (size_t c = 0; c < from->count; c++)
        likely += one->share[c] >= CANDIDATE_SHARE ? one->share[c] : 0;
    if (1 - one->nothing < FOUND_PROBABILITY || likely <= 0)
        return;
    for (size_t c = 0; c < from->count; c++) {
        if (one->share[c] < CANDIDATE_SHARE)
            continue;
        double weight = one->share[c] / likely;
        mix(&x, weight, from->centres[c].x_mm, 0);
        mix(&y, weight, from->centres[c].y_mm, 0);
        mix(&side, weight, from->sides_mm[c], 0);
        mix(&strength, weight, one->mean[c], one->variance[c]);
        mix(&rise_k, weight, one->mean[c] * own_k[c], one->variance[c] * own_k[c] * own_k[c]);
    }
    sf_source_fit *into = &result->sources[result->source_count];
    *into = (sf_source_fit){.x_mm = x.mean,
                            .y_mm = y.mean,
                            .width_mm = side.mean,
                            .height_mm = side.mean,
                            .rise_k = mixed(&rise_k),
                            .power_w = strength_w(told, mixed(&strength)),
                            .evidence = one->log_factor,
                            .probability = 1 - one->nothing};
    result->source_count++;
}

static void add_found(const void *of, const posterior_summary *told, model_result *result)
{
    const dense_posterior *from = of;
    for (int k = 0; k < EFFECT_COUNT; k++)
        report_effect(from->best, told, &from->best->found.effects[k], from->own_k, result);
}

static sf_status fill_joint(void *of, model_result *result)
{
    const dense_posterior *told = of;
    return joint_fill(told->data, told->matrix, told->averaged, result);
}

sf_status dense_report(const fit_data *data, balance *matrix, const candidates *seek,
                       const length_average *averaged, model_result *result)
{
    static const posterior_way way = {mean_at,        summarise,  add_doubt, tell_cans,
                                      tell_with_cans, tell_error, add_found, fill_joint};
    const length_fit *best = &averaged->fits[averaged->best];
    dense_posterior of = {.data = data,
                          .matrix = matrix,
                          .averaged = averaged,
                          .best = best,
                          .own_k = array_new(seek->count, sizeof(double)),
                          .with_cans_k = array_new(CANS_SHARED * data->laid->nodes, sizeof(double)),
                          .work = array_new(CANS_SHARED * data->readings, sizeof(double))};
    const posterior told = {.way = &way,
                            .of = &of,
                            .data = data,
                            .count = averaged->count,
                            .best = averaged->best,
                            .weights = averaged->weights,
                            .left_out_k = averaged->left_out_k,
                            .alone = averaged->alone,
                            .at = &best->fitted};
    sf_status status = of.own_k && of.with_cans_k && of.work ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = posterior_report(&told, result);
    if (status == SF_OK && data->input->slip_count > 0)
        status = slips_weigh(data, best, result->slip_gains);
    free(of.own_k);
    free(of.with_cans_k);
    free(of.work);
    return status;
}

void dense_log_evidence(const fit_data *data, const length_average *averaged, model_result *result)
{
    length_average_field(data, averaged, &result->mean, NULL);
    result->summary.log_evidence = averaged->fits[averaged->best].log_posterior;
}
