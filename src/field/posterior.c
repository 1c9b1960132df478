/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From a posterior to what a model tells: field, cans, left-out predictions, sources. */
#include "field/posterior.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/judge.h"
#include "field/lengths.h"

void mix(mixture *into, double weight, double value, double variance)
{
    into->mean += weight * value;
    into->square += weight * (value * value + variance);
}

sf_estimate mixed(const mixture *of)
{
    return (sf_estimate){of->mean, sqrt(fmax(of->square - of->mean * of->mean, 0))};
}

sf_status posterior_summary_new(const green_functions *green, const hyperparameters *fitted,
                                posterior_summary *made)
{
    size_t listed = green->sources;
    *made = (posterior_summary){.length_mm = green->length_mm,
                                .fitted = *fitted,
                                .strength_k_mm2 = array_new(listed, sizeof(double)),
                                .strength_k2 = array_new(listed, sizeof(double)),
                                .own = array_new(listed, sizeof(double))};
    if (!made->strength_k_mm2 || !made->strength_k2 || !made->own)
        return SF_ERROR_MEMORY;
    memcpy(made->own, green->own, listed * sizeof(double));
    return SF_OK;
}

void posterior_summary_clear(posterior_summary *made)
{
    free(made->strength_k_mm2);
    free(made->strength_k2);
    free(made->own);
    *made = (posterior_summary){0};
}

sf_estimate strength_w(const posterior_summary *of, sf_estimate strength_k_mm2)
{
    double w_per_k_mm2 = of->fitted.loss_w_m2k * 1e-6;
    return (sf_estimate){strength_k_mm2.value * w_per_k_mm2,
                         hypot(strength_k_mm2.sd, strength_k_mm2.value * of->loss_sd_ln) *
                             w_per_k_mm2};
}

static void report_listed(const fit_data *data, const posterior_summary *summaries, size_t count,
                          size_t j, sf_source_fit *into)
{
    const sf_source *source = &data->input->sources[j];
    mixture rise_k = {0}, power_w = {0};
    for (size_t i = 0; i < count; i++) {
        const posterior_summary *at = &summaries[i];
        double own = at->own[j], mean = at->strength_k_mm2[j], variance = at->strength_k2[j];
        if (data->idle[j]) { /* what the readings want; the field has none of it */
            mean = data->cooling[j].value;
            variance = data->cooling[j].sd * data->cooling[j].sd;
        }
        sf_estimate watts = strength_w(at, (sf_estimate){mean, sqrt(variance)});
        mix(&rise_k, at->weight, mean * own, variance * own * own);
        mix(&power_w, at->weight, watts.value, watts.sd * watts.sd);
    }
    *into = (sf_source_fit){.listed = true,
                            .x_mm = source->x_mm,
                            .y_mm = source->y_mm,
                            .width_mm = source->width_mm,
                            .height_mm = source->height_mm,
                            .angle_deg = source->angle_deg,
                            .rise_k = mixed(&rise_k),
                            .power_w = mixed(&power_w),
                            .probability = 1};
    into->contradiction = data->idle[j];
    snprintf(into->ref, sizeof into->ref, "%s", source->ref);
}

static void summarise(const fit_data *data, const posterior_summary *summaries, size_t count,
                      sf_field_summary *summary)
{
    mixture length = {0}, loss = {0}, background = {0};
    summary->unlisted_sd_k = summary->noise_factor = 0;
    summary->off_share = summary->off_mm = 0;
    summary->log_evidence = -INFINITY;
    for (size_t i = 0; i < count; i++) {
        const posterior_summary *at = &summaries[i];
        double loss_sd = at->loss_sd_ln * at->fitted.loss_w_m2k;
        mix(&length, at->weight, at->length_mm, 0);
        mix(&loss, at->weight, at->fitted.loss_w_m2k, loss_sd * loss_sd);
        mix(&background, at->weight, at->background_k, at->background_k2);
        summary->unlisted_sd_k += at->weight * at->fitted.white_k;
        summary->noise_factor += at->weight * at->fitted.noise;
        summary->off_share += at->weight * at->fitted.off_share;
        summary->off_mm += at->weight * at->fitted.off_mm;
        summary->log_evidence = fmax(summary->log_evidence, at->log_posterior);
    }
    summary->length_mm = mixed(&length);
    summary->prior_length_mm = data->built.length_mm;
    summary->loss_w_m2k = mixed(&loss);
    summary->background_k = mixed(&background);
}

static void report_summaries(const fit_data *data, const posterior_summary *summaries, size_t count,
                             model_result *result)
{
    for (size_t j = 0; j < data->input->source_count; j++)
        report_listed(data, summaries, count, j, &result->sources[result->source_count++]);
    summarise(data, summaries, count, &result->summary);
}

/* Names the sources that were found: "unlisted 1", ... */
static void number_unlisted(model_result *result)
{
    int number = 0;
    for (size_t j = 0; j < result->source_count; j++)
        if (!result->sources[j].listed)
            snprintf(result->sources[j].ref, sizeof result->sources[j].ref, "unlisted %d",
                     ++number);
}

/* The doubt is that of the likeliest length; how lengths differ adds to it. */
static sf_status report_field(const posterior *of, model_result *result)
{
    peaked_field fields[LENGTHS_MOST];
    for (size_t i = 0; i < of->count; i++)
        fields[i] = *of->way->mean(of->of, i);
    lengths_average(of->data, fields, of->weights, of->count, &result->mean, result->variance_k2);
    return of->way->doubt(of->of, result);
}

/* A can that was read is told by that reading and all others, one that was not by the board. */
static void report_cans(const posterior *of, model_result *result)
{
    const fit_data *data = of->data;
    cans_told told = of->way->cans(of->of);
    for (size_t c = 0; c < data->input->can_count; c++) {
        const sf_point *can = &data->input->cans[c];
        grid_sample at = grid_sample_at(data->laid, can->x_mm, can->y_mm);
        double with_k[CANS_SHARED];
        of->way->with_cans(of->of, &at, *can, with_k);
        result->cans[c] =
            can_unread((sf_estimate){field_at(data, &result->mean, can->x_mm, can->y_mm),
                                     sqrt(sample_value(&at, result->variance_k2))},
                       data->cool_k, &told, with_k);
    }
    for (size_t i = 0; i < data->spots; i++)
        if (data->can[i] < data->input->can_count && data->gross_k2[i] <= 0) {
            told_error error = of->way->error(of->of, i);
            result->cans[data->can[i]] =
                can_read(data->rise_k[i], error.whole_k2, error.off_k, error.told_k2);
        }
    result->summary.can_share = can_share_told(&told);
    result->summary.can_air_k = can_air_told(&told, data->cool_k);
    result->summary.can_air_at_k = data->cool_k;
}

static sf_estimate left_out_of(const posterior *of, const sf_observation *seen, size_t spot)
{
    size_t reading = of->data->reading_of[spot];
    if (!of->place_k2)
        return of->left_out_k[reading];
    double white_k2 = reading_variance_k2(of->data, of->at, reading) - of->data->gross_k2[reading];
    return fit_data_leave_one_out(of->data, seen, spot, white_k2, of->place_k2[reading],
                                  of->left_out_k[reading]);
}

/* Returns what it is off by from what the others predict, K. */
static double report_reading(const posterior *of, size_t spot, model_result *result)
{
    const fit_data *data = of->data;
    sf_reading_fit *into = &result->readings[spot];
    const sf_observation *seen = &data->input->observations[into->observation];
    size_t reading = data->reading_of[spot];
    into->left_out_k = left_out_of(of, seen, spot);
    double off_k = seen->rise_k - into->left_out_k.value;
    into->score = off_k / into->left_out_k.sd;
    into->alone = of->alone ? of->alone[reading] : 0;
    into->gross = judge_reading(data, reading, seen->rise_k, into->left_out_k);
    into->fitted_k =
        (sf_estimate){data->share[reading] * field_at(data, &result->mean, seen->x_mm, seen->y_mm),
                      sqrt(sample_value(&data->samples[reading], result->variance_k2))};
    return off_k;
}

/* Left out are single readings where there are any, else cells of the thermogram. */
static void report_readings(const posterior *of, model_result *result)
{
    const fit_data *data = of->data;
    double squares = 0, read = 0;
    size_t count = data->spots > 0 ? result->summary.readings : data->readings;
    for (size_t i = 0; i < count; i++) {
        if (data->spots == 0 && data->position_k2[i] >= UNREAD_K2)
            continue;
        double off_k = data->spots > 0 ? report_reading(of, i, result)
                                       : data->rise_k[i] - of->left_out_k[i].value;
        squares += off_k * off_k;
        read++;
    }
    result->summary.left_out_rmse_k = sqrt(squares / read);
}

static sf_status report_sources(const posterior *of, model_result *result)
{
    posterior_summary summaries[LENGTHS_MOST] = {0};
    sf_status status = SF_OK;
    for (size_t i = 0; status == SF_OK && i < of->count; i++) {
        status = of->way->summarise(of->of, i, &summaries[i]);
        summaries[i].weight = of->weights[i];
    }
    if (status == SF_OK) {
        report_summaries(of->data, summaries, of->count, result);
        of->way->add_found(of->of, &summaries[of->best], result);
        number_unlisted(result);
    }
    for (size_t i = 0; i < of->count; i++)
        posterior_summary_clear(&summaries[i]);
    return status;
}

sf_status posterior_report(const posterior *of, model_result *result)
{
    sf_status status = report_field(of, result);
    if (status != SF_OK)
        return status;
    report_cans(of, result);
    report_readings(of, result);
    if (result->joint)
        status = of->way->joint(of->of, result);
    return status == SF_OK ? report_sources(of, result) : status;
}
