/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit by the dense covariance of the readings tells: field, doubt, left-out predictions,
 * sources and hyperparameters. */
#include "field/dense.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/parallel.h"
#include "field/can_share.h"
#include "field/joint.h"
#include "field/judge.h"
#include "field/posterior_summary.h"
#include "field/slip_trials.h"
#include "field/uncertainty.h"

static void report_readings(const fit_data *data, const length_average *averaged,
                            model_result *result)
{
    double squares = 0;
    for (size_t i = 0; i < data->readings; i++) {
        sf_reading_fit *fit = &result->readings[i];
        double off_k = data->rise_k[i] - averaged->left_out_k[i].value;
        fit->left_out_k = averaged->left_out_k[i];
        fit->score = off_k / fit->left_out_k.sd;
        fit->alone = averaged->alone[i];
        fit->gross = judge_reading(data, i, data->rise_k[i], fit->left_out_k);
        squares += off_k * off_k;
        fit->fitted_k.value = data->share[i] * field_at(data, &result->mean, data->points[i].x_mm,
                                                        data->points[i].y_mm);
        fit->fitted_k.sd = sqrt(sample_value(&data->samples[i], result->variance_k2));
    }
    result->summary.left_out_rmse_k = sqrt(squares / (double)data->readings);
}

/* What the readings tell of what all cans have together; `work` holds CANS_SHARED rows of readings.
 */
static cans_told tell_cans(const fit_data *data, const length_fit *fit, double *work)
{
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

/* The can that a reading was taken on, from all readings: `errors` holds one value a reading. */
static sf_estimate read_can(const fit_data *data, const length_fit *fit, size_t reading,
                            double *errors)
{
    size_t count = data->readings;
    double told_k2 = 0;
    for (size_t i = 0; i < count; i++)
        errors[i] = common_between_k2(data, reading, i);
    errors[reading] += reading_variance_k2(data, &fit->fitted, reading);
    for (size_t i = 0; i < count; i++)
        told_k2 += errors[i] * dot(fit->under.inverse + i * count, errors, count);
    return can_read(data->rise_k[reading], errors[reading], dot(errors, fit->weights, count),
                    told_k2);
}

static sf_status report_cans(const fit_data *data, const length_fit *fit, const double *with_cans_k,
                             model_result *result)
{
    double *work = array_new(CANS_SHARED * data->readings, sizeof *work);
    if (!work)
        return SF_ERROR_MEMORY;
    cans_told told = tell_cans(data, fit, work);
    for (size_t c = 0; c < data->input->can_count; c++) {
        const sf_point *can = &data->input->cans[c];
        grid_sample at = grid_sample_at(data->laid, can->x_mm, can->y_mm);
        double with_k[CANS_SHARED];
        for (size_t k = 0; k < CANS_SHARED; k++)
            with_k[k] = sample_value(&at, with_cans_k + k * data->laid->nodes);
        result->cans[c] =
            can_unread((sf_estimate){field_at(data, &result->mean, can->x_mm, can->y_mm),
                                     sqrt(sample_value(&at, result->variance_k2))},
                       data->cool_k, &told, with_k);
    }
    for (size_t i = 0; i < data->spots; i++)
        if (data->can[i] < data->input->can_count && data->gross_k2[i] <= 0)
            result->cans[data->can[i]] = read_can(data, fit, i, work);
    result->summary.can_share = can_share_told(&told);
    free(work);
    return SF_OK;
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

static sf_status posterior_summary_of(const fit_data *data, const length_fit *fit, double weight,
                                      posterior_summary *made)
{
    size_t listed = data->input->source_count;
    sf_status status = posterior_summary_new(listed, made);
    if (status != SF_OK)
        return status;
    made->weight = weight;
    made->length_mm = fit->green.length_mm;
    made->fitted = fit->fitted;
    made->loss_sd_ln = fit->loss_sd_ln;
    made->log_posterior = fit->log_posterior;
    background_at(data, fit, &made->background_k, &made->background_k2);
    for (size_t j = 0; j < listed; j++)
        judge_strength(fit, j, &made->strength_k_mm2[j], &made->strength_k2[j]);
    memcpy(made->own, fit->green.own, listed * sizeof(double));
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

static sf_status report_sources(const fit_data *data, const length_average *averaged,
                                const double *own_k, model_result *result)
{
    posterior_summary summaries[LENGTHS_MOST] = {0};
    sf_status status = SF_OK;
    for (size_t i = 0; status == SF_OK && i < averaged->count; i++)
        status =
            posterior_summary_of(data, &averaged->fits[i], averaged->weights[i], &summaries[i]);
    if (status == SF_OK) {
        const length_fit *best = &averaged->fits[averaged->best];
        posterior_summaries_report(data, summaries, averaged->count, result);
        for (int k = 0; k < EFFECT_COUNT; k++)
            report_effect(best, &summaries[averaged->best], &best->found.effects[k], own_k, result);
        number_unlisted(result);
    }
    for (size_t i = 0; i < averaged->count; i++)
        posterior_summary_clear(&summaries[i]);
    return status;
}

sf_status dense_report(const fit_data *data, balance *matrix, const candidates *seek,
                       const length_average *averaged, model_result *result)
{
    const length_fit *best = &averaged->fits[averaged->best];
    double *own_k = array_new(seek->count, sizeof *own_k);
    double *with_cans_k = array_new(CANS_SHARED * data->laid->nodes, sizeof *with_cans_k);
    if (!own_k || !with_cans_k) {
        free(own_k);
        free(with_cans_k);
        return SF_ERROR_MEMORY;
    }
    /* the doubt is that of the best length; how lengths differ adds to it */
    length_average_field(data, averaged, &result->mean, result->variance_k2);
    const reading_part part = {result->independent_k2, result->common_shift_k, with_cans_k};
    sf_status status = uncertainty_add(data, matrix, best, result->variance_k2, own_k, &part);
    if (status == SF_OK)
        status = report_cans(data, best, with_cans_k, result);
    if (status == SF_OK)
        report_readings(data, averaged, result);
    if (status == SF_OK && data->input->slip_count > 0)
        status = slips_weigh(data, best, result->slip_gains);
    if (status == SF_OK && result->joint)
        status = joint_fill(data, matrix, averaged, result);
    if (status == SF_OK)
        status = report_sources(data, averaged, own_k, result);
    free(own_k);
    free(with_cans_k);
    return status;
}

void dense_log_evidence(const fit_data *data, const length_average *averaged, model_result *result)
{
    length_average_field(data, averaged, &result->mean, NULL);
    result->summary.log_evidence = averaged->fits[averaged->best].log_posterior;
}
