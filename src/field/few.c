/* What few readings tell: field, doubt, left-out predictions, sources and scales. */
#include "field/few.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/account.h"
#include "field/doubt.h"
#include "field/joint.h"

/* Predictions of each reading from all others, in closed form from the inverse covariance: the
 * reading minus (C^-1 r)_i / (C^-1)_ii. A found source counts here with its mean square and no
 * mean, so that leaving a reading out can also take away the source it alone supports. */
static sf_status leave_out(const problem *data, const length_fit *fit, double weight,
                           mixture *left_out)
{
    gaussian wide;
    scales no_change = fit->fitted;
    size_t count = data->readings;
    double *residual = array_new(count, sizeof *residual);
    sf_status status = gaussian_new(count, data->input->source_count, &wide);
    if (!residual)
        status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = gaussian_set(&wide, data, &fit->answer, &no_change);
    if (status == SF_OK && fit->found.from) {
        for (int k = 0; k < EFFECT_COUNT; k++)
            for (size_t i = 0; i < count * count; i++)
                wide.covariance[i] += fit->found.effects[k].second_at[i];
        status = gaussian_refactor(&wide);
    }
    if (status == SF_OK)
        status = gaussian_invert(&wide);
    for (size_t i = 0; status == SF_OK && i < count; i++)
        residual[i] = data->rise_k[i] - wide.expected[i];
    for (size_t i = 0; status == SF_OK && i < count; i++) {
        double precision = wide.inverse[i * count + i];
        double off = dot(wide.inverse + i * count, residual, count) / precision;
        mix(&left_out[i], weight, data->rise_k[i] - off, 1 / precision);
    }
    gaussian_clear(&wide);
    free(residual);
    return status;
}

static sf_status report_readings(const problem *data, const sweep *swept, model_result *result)
{
    mixture *left_out = array_new(data->readings, sizeof *left_out);
    if (!left_out)
        return SF_ERROR_MEMORY;
    sf_status status = SF_OK;
    for (size_t i = 0; status == SF_OK && i < swept->count; i++)
        status = leave_out(data, &swept->fits[i], swept->weights[i], left_out);
    double squares = 0;
    for (size_t i = 0; status == SF_OK && i < data->readings; i++) {
        sf_reading_fit *fit = &result->readings[i];
        fit->left_out_k = mixed(&left_out[i]);
        double off = data->rise_k[i] - fit->left_out_k.value;
        fit->score = off / fit->left_out_k.sd;
        squares += off * off;
        fit->fitted_k.value = sample_value(&data->samples[i], result->rise_k);
        fit->fitted_k.sd = sqrt(sample_value(&data->samples[i], result->variance_k2));
    }
    result->summary.left_out_rmse_k = sqrt(squares / (double)data->readings);
    free(left_out);
    return status;
}

/* Posterior of one listed source's strength at one length. */
static void strength_at(const length_fit *fit, size_t source, double *mean, double *variance)
{
    size_t readings = fit->answer.readings, sources = fit->answer.sources;
    double sd = fit->under.strength_sd[source], pull = 0, known = 0;
    for (size_t i = 0; i < readings; i++) {
        double at_i = fit->answer.source_at[i * sources + source];
        pull += at_i * fit->weights[i];
        for (size_t k = 0; k < readings; k++)
            known += at_i * fit->under.inverse[i * readings + k] *
                     fit->answer.source_at[k * sources + source];
    }
    *mean = fit->under.strength_mean[source] + sd * sd * pull;
    *variance = fmax(sd * sd * (1 - sd * sd * known), 0);
}

/* Posterior of the background at one length. */
static void background_at(const problem *data, const length_fit *fit, double *mean,
                          double *variance)
{
    const double *at = fit->answer.uniform_at;
    double b = data->background_k, known = 0;
    for (size_t i = 0; i < data->readings; i++)
        known += at[i] * dot(fit->under.inverse + i * data->readings, at, data->readings);
    *mean = b + b * b * dot(at, fit->weights, data->readings);
    *variance = fmax(b * b * (1 - b * b * known), 0);
}

static sf_status account_of(const problem *data, const length_fit *fit, double weight,
                            account *made)
{
    size_t listed = data->input->source_count;
    sf_status status = account_new(listed, made);
    if (status != SF_OK)
        return status;
    made->weight = weight;
    made->length_mm = fit->answer.length_mm;
    made->fitted = fit->fitted;
    made->loss_sd_ln = fit->loss_sd_ln;
    made->log_posterior = fit->log_posterior;
    background_at(data, fit, &made->background_k, &made->background_k2);
    for (size_t j = 0; j < listed; j++)
        strength_at(fit, j, &made->strength_k_mm2[j], &made->strength_k2[j]);
    memcpy(made->own, fit->answer.own, listed * sizeof(double));
    return SF_OK;
}

/* Names one effect that is more likely there than not, from its likely candidates. */
static void report_effect(const length_fit *fit, const account *told, const effect *one,
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

static sf_status report_sources(const problem *data, const sweep *swept, const double *own_k,
                                model_result *result)
{
    account accounts[LENGTHS_MOST] = {0};
    sf_status status = SF_OK;
    for (size_t i = 0; status == SF_OK && i < swept->count; i++)
        status = account_of(data, &swept->fits[i], swept->weights[i], &accounts[i]);
    if (status == SF_OK) {
        const length_fit *best = &swept->fits[swept->best];
        accounts_report(data, accounts, swept->count, result);
        for (int k = 0; k < EFFECT_COUNT; k++)
            report_effect(best, &accounts[swept->best], &best->found.effects[k], own_k, result);
        number_unlisted(result);
    }
    for (size_t i = 0; i < swept->count; i++)
        account_clear(&accounts[i]);
    return status;
}

sf_status few_report(const problem *data, balance *matrix, const candidates *seek,
                     const sweep *swept, model_result *result)
{
    const length_fit *best = &swept->fits[swept->best];
    double *own_k = array_new(seek->count, sizeof *own_k);
    if (!own_k)
        return SF_ERROR_MEMORY;
    /* the doubt is that of the best length; how lengths differ adds to it */
    sweep_average(swept, data->laid->nodes, result->rise_k, result->variance_k2);
    const reading_part part = {result->own_k2, result->pull_k};
    sf_status status = doubt_add(data, matrix, best, result->variance_k2, own_k, &part);
    if (status == SF_OK)
        status = report_readings(data, swept, result);
    if (status == SF_OK && result->joint)
        status = joint_fill(data, matrix, swept, result);
    if (status == SF_OK)
        status = report_sources(data, swept, own_k, result);
    free(own_k);
    return status;
}
