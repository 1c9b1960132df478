/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Averages what fits at several spreading lengths tell. */
#include "field/posterior_summary.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/memory.h"

void mix(mixture *into, double weight, double value, double variance)
{
    into->mean += weight * value;
    into->square += weight * (value * value + variance);
}

sf_estimate mixed(const mixture *of)
{
    return (sf_estimate){of->mean, sqrt(fmax(of->square - of->mean * of->mean, 0))};
}

sf_status posterior_summary_new(size_t listed, posterior_summary *made)
{
    *made = (posterior_summary){.listed = listed,
                                .strength_k_mm2 = array_new(listed, sizeof(double)),
                                .strength_k2 = array_new(listed, sizeof(double)),
                                .own = array_new(listed, sizeof(double))};
    return made->strength_k_mm2 && made->strength_k2 && made->own ? SF_OK : SF_ERROR_MEMORY;
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

void posterior_summaries_report(const fit_data *data, const posterior_summary *summaries,
                                size_t count, model_result *result)
{
    for (size_t j = 0; j < data->input->source_count; j++)
        report_listed(data, summaries, count, j, &result->sources[result->source_count++]);
    summarise(data, summaries, count, &result->summary);
}

void number_unlisted(model_result *result)
{
    int number = 0;
    for (size_t j = 0; j < result->source_count; j++)
        if (!result->sources[j].listed)
            snprintf(result->sources[j].ref, sizeof result->sources[j].ref, "unlisted %d",
                     ++number);
}
