/* The field model of this project: a board is a fin, its sources have unknown strengths, its
 * spreading length is uncertain and averaged over. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/balance.h"
#include "field/doubt.h"
#include "field/expectation.h"
#include "field/joint.h"
#include "field/length_fit.h"
#include "field/model.h"
#include "field/sweep.h"

#define SURVEY_COUNT 5       /* lengths of the first pass, evenly over the prior */
#define SURVEY_REACH 1.6     /* in its standard deviations */
#define FINAL_COUNT 3        /* lengths of the second pass, about the first one's mode */
#define FINAL_SPACING 1.2    /* in standard deviations of the first pass's posterior */
#define LENGTH_SD_LEAST 0.08 /* of ln length: what the model itself cannot tell apart */
#define LENGTH_SD_MOST 0.4
#define SCALES_READINGS_MOST 60
#define FOUND_PROBABILITY 0.5 /* from which an unlisted source is named */

_Static_assert(SURVEY_COUNT <= SWEEP_MOST && FINAL_COUNT <= SWEEP_MOST, "room in a sweep");

void sweep_clear(sweep *swept)
{
    for (size_t i = 0; i < swept->count; i++)
        length_fit_clear(&swept->fits[i]);
    swept->count = 0;
}

static void weigh(sweep *swept)
{
    double sum = 0;
    swept->best = 0;
    for (size_t i = 1; i < swept->count; i++)
        if (swept->fits[i].log_posterior > swept->fits[swept->best].log_posterior)
            swept->best = i;
    for (size_t i = 0; i < swept->count; i++)
        sum += swept->weights[i] =
            exp(swept->fits[i].log_posterior - swept->fits[swept->best].log_posterior);
    for (size_t i = 0; i < swept->count; i++)
        swept->weights[i] /= sum;
}

/* Fits at count lengths, spacing apart in ln about `centre_ln`. */
static sf_status sweep_lengths(const problem *data, balance *matrix, double centre_ln,
                               double spacing, size_t count, const scales *start,
                               const candidates *seek, sweep *swept)
{
    scales from = *start;
    sf_status status = SF_OK;
    *swept = (sweep){0};
    for (size_t i = 0; status == SF_OK && i < count; i++) {
        double offset = (double)i - (double)(count - 1) / 2;
        double length_mm = exp(centre_ln + spacing * offset);
        status = length_fit_make(data, matrix, length_mm, &from, NULL, seek, &swept->fits[i]);
        swept->count++;
        from = swept->fits[i].fitted;
    }
    if (status == SF_OK)
        weigh(swept);
    return status;
}

/* Mode and standard deviation of ln length from a parabola through the best fit and its
 * neighbours; at the end of the range, the end itself and a wide doubt. */
static void find_mode(const sweep *swept, double *mode_ln, double *sd_ln)
{
    size_t best = swept->best;
    *mode_ln = log(swept->fits[best].answer.length_mm);
    *sd_ln = LENGTH_SD_MOST / 2;
    if (best == 0 || best + 1 == swept->count)
        return;
    double left = swept->fits[best - 1].log_posterior - swept->fits[best].log_posterior;
    double right = swept->fits[best + 1].log_posterior - swept->fits[best].log_posterior;
    double spacing = log(swept->fits[best + 1].answer.length_mm) - *mode_ln;
    double bend = left + right; /* below zero at a maximum */
    if (bend >= 0)
        return;
    *mode_ln += spacing * (left - right) / (2 * bend);
    *sd_ln = fmin(fmax(spacing / sqrt(-bend), LENGTH_SD_LEAST), LENGTH_SD_MOST);
}

static void average_field(const sweep *swept, size_t nodes, double *rise_k, double *spread_k2)
{
    for (size_t node = 0; node < nodes; node++) {
        double mean = 0, square = 0;
        for (size_t i = 0; i < swept->count; i++)
            mean += swept->weights[i] * swept->fits[i].rise_k[node];
        for (size_t i = 0; i < swept->count; i++) {
            double off = swept->fits[i].rise_k[node] - mean;
            square += swept->weights[i] * off * off;
        }
        rise_k[node] = mean;
        if (spread_k2)
            spread_k2[node] += square;
    }
}

/* Running mean and variance of a mixture: weight w at a value with its own variance. */
typedef struct mixture {
    double mean, square;
} mixture;

static void mix(mixture *into, double weight, double value, double variance)
{
    into->mean += weight * value;
    into->square += weight * (value * value + variance);
}

static sf_estimate mixed(const mixture *of)
{
    return (sf_estimate){of->mean, sqrt(fmax(of->square - of->mean * of->mean, 0))};
}

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

static void report_listed(const problem *data, const sweep *swept, model_result *result)
{
    for (size_t j = 0; j < data->input->source_count; j++) {
        const sf_source *source = &data->input->sources[j];
        mixture rise_k = {0}, power_w = {0};
        for (size_t i = 0; i < swept->count; i++) {
            const length_fit *fit = &swept->fits[i];
            double mean, variance, own = fit->answer.own[j];
            strength_at(fit, j, &mean, &variance);
            double watts = fit->fitted.loss_w_m2k * 1e-6;
            double loss_part = mean * fit->loss_sd_ln;
            mix(&rise_k, swept->weights[i], mean * own, variance * own * own);
            mix(&power_w, swept->weights[i], mean * watts,
                (variance + loss_part * loss_part) * watts * watts);
        }
        sf_source_fit *into = &result->sources[result->source_count++];
        *into = (sf_source_fit){.listed = true,
                                .x_mm = source->x_mm,
                                .y_mm = source->y_mm,
                                .width_mm = source->width_mm,
                                .height_mm = source->height_mm,
                                .angle_deg = source->angle_deg,
                                .rise_k = mixed(&rise_k),
                                .power_w = mixed(&power_w),
                                .probability = 1};
        into->contradiction = into->rise_k.value < 0;
        snprintf(into->ref, sizeof into->ref, "%s", source->ref);
    }
}

/* Names one effect that is more likely there than not, from its likely candidates. */
static void report_effect(const length_fit *fit, const effect *one, const double *own_k,
                          model_result *result)
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
    double watts = fit->fitted.loss_w_m2k * 1e-6;
    sf_estimate heat = mixed(&strength);
    sf_source_fit *into = &result->sources[result->source_count];
    *into = (sf_source_fit){
        .x_mm = x.mean,
        .y_mm = y.mean,
        .width_mm = side.mean,
        .height_mm = side.mean,
        .rise_k = mixed(&rise_k),
        .power_w = {heat.value * watts, hypot(heat.sd, heat.value * fit->loss_sd_ln) * watts},
        .evidence = one->log_factor,
        .probability = 1 - one->nothing};
    result->source_count++;
}

static void number_unlisted(model_result *result)
{
    int number = 0;
    for (size_t j = 0; j < result->source_count; j++)
        if (!result->sources[j].listed)
            snprintf(result->sources[j].ref, sizeof result->sources[j].ref, "unlisted %d",
                     ++number);
}

static void summarise(const problem *data, const sweep *swept, model_result *result)
{
    mixture length = {0}, loss = {0}, background = {0};
    double b = data->background_k, white_k = 0, noise = 0;
    for (size_t i = 0; i < swept->count; i++) {
        const length_fit *fit = &swept->fits[i];
        double weight = swept->weights[i], loss_sd = fit->loss_sd_ln * fit->fitted.loss_w_m2k;
        double known = 0;
        for (size_t k = 0; k < data->readings; k++)
            known += fit->answer.uniform_at[k] * dot(fit->under.inverse + k * data->readings,
                                                     fit->answer.uniform_at, data->readings);
        mix(&length, weight, fit->answer.length_mm, 0);
        mix(&loss, weight, fit->fitted.loss_w_m2k, loss_sd * loss_sd);
        mix(&background, weight,
            b + b * b * dot(fit->answer.uniform_at, fit->weights, data->readings),
            fmax(b * b * (1 - b * b * known), 0));
        white_k += weight * fit->fitted.white_k;
        noise += weight * fit->fitted.noise;
    }
    sf_field_summary *summary = &result->summary;
    summary->length_mm = mixed(&length);
    summary->prior_length_mm = data->built.length_mm;
    summary->loss_w_m2k = mixed(&loss);
    summary->background_k = mixed(&background);
    summary->unlisted_sd_k = white_k;
    summary->noise_factor = noise;
    summary->log_evidence = swept->fits[swept->best].log_posterior;
}

static sf_status report(const problem *data, balance *matrix, const candidates *seek,
                        const sweep *swept, model_result *result)
{
    const length_fit *best = &swept->fits[swept->best];
    double *own_k = array_new(seek->count, sizeof *own_k);
    if (!own_k)
        return SF_ERROR_MEMORY;
    /* the doubt is that of the best length; how lengths differ adds to it */
    average_field(swept, data->laid->nodes, result->rise_k, result->variance_k2);
    sf_status status = doubt_add(data, matrix, best, result->variance_k2, own_k);
    if (status == SF_OK)
        status = report_readings(data, swept, result);
    if (status == SF_OK && result->joint)
        status = joint_fill(data, matrix, swept, result);
    if (status == SF_OK) {
        report_listed(data, swept, result);
        for (int k = 0; k < EFFECT_COUNT; k++)
            report_effect(best, &best->found.effects[k], own_k, result);
        number_unlisted(result);
        summarise(data, swept, result);
    }
    free(own_k);
    return status;
}

/* Two passes: the first finds the rise, on which losses, patchiness and the cost of a misplaced
 * reading depend, and about how long the spreading length is; the second seeks unlisted sources
 * and leaves its fits in *swept, the candidates in *seek and the first pass's field in rise_k. */
static sf_status fit_passes(problem *data, balance *matrix, double position_sd_mm, candidates *seek,
                            sweep *swept, double *rise_k)
{
    scales start = scales_prior(data);
    double mode_ln = 0, sd_ln = 0;
    sf_status status = sweep_lengths(data, matrix, log(data->built.length_mm),
                                     2 * SURVEY_REACH * LENGTH_SD_LN / (SURVEY_COUNT - 1),
                                     SURVEY_COUNT, &start, NULL, swept);
    if (status == SF_OK) {
        find_mode(swept, &mode_ln, &sd_ln);
        average_field(swept, data->laid->nodes, rise_k, NULL);
        problem_take_field(data, rise_k, position_sd_mm);
        start = swept->fits[swept->best].fitted;
        status = candidates_make(data, seek);
    }
    sweep_clear(swept);
    return status == SF_OK ? sweep_lengths(data, matrix, mode_ln, FINAL_SPACING * sd_ln,
                                           FINAL_COUNT, &start, seek, swept)
                           : status;
}

static sf_status fit_few(problem *data, balance *matrix, const sf_field_options *options,
                         model_result *result)
{
    candidates seek = {0};
    sweep swept = {0};
    sf_status status =
        fit_passes(data, matrix, options->position_sd_mm, &seek, &swept, result->rise_k);
    if (status == SF_OK)
        status = report(data, matrix, &seek, &swept, result);
    sweep_clear(&swept);
    candidates_clear(&seek);
    return status;
}

/* The same lengths and scales on all readings. */
static sf_status hold_sweep(const problem *data, balance *matrix, const sweep *held,
                            const candidates *seek, sweep *swept)
{
    sf_status status = SF_OK;
    *swept = (sweep){0};
    for (; status == SF_OK && swept->count < held->count; swept->count++) {
        const length_fit *one = &held->fits[swept->count];
        status = length_fit_make(data, matrix, one->answer.length_mm, &one->fitted, one, seek,
                                 &swept->fits[swept->count]);
    }
    if (status == SF_OK)
        weigh(swept);
    return status;
}

/* Many readings: scales and lengths are learnt from a well-spread few, since that costs the cube
 * of their number many times over; the field is then that of all. */
static sf_status fit_many(problem *all, balance *matrix, const sf_field_options *options,
                          model_result *result)
{
    sf_observation *thinned = problem_thin(all, SCALES_READINGS_MOST);
    if (!thinned)
        return SF_ERROR_MEMORY;
    sf_field_input input = *all->input;
    input.observations = thinned;
    problem few;
    candidates seek = {0}, seek_all = {0};
    sweep learnt = {0}, swept = {0};
    sf_status status = problem_gather(&input, all->laid, &few);
    if (status == SF_OK)
        status = fit_passes(&few, matrix, options->position_sd_mm, &seek, &learnt, result->rise_k);
    if (status == SF_OK) {
        problem_take_field(all, result->rise_k, options->position_sd_mm);
        status = candidates_make(all, &seek_all);
    }
    if (status == SF_OK)
        status = hold_sweep(all, matrix, &learnt, &seek_all, &swept);
    if (status == SF_OK)
        status = report(all, matrix, &seek_all, &swept, result);
    sweep_clear(&swept);
    sweep_clear(&learnt);
    candidates_clear(&seek_all);
    candidates_clear(&seek);
    problem_clear(&few);
    free(thinned);
    return status;
}

/* Before any reading: what construction and listed sources lead to expect. */
static sf_status expect(problem *data, balance *matrix, model_result *result)
{
    sweep swept;
    candidates seek = {0};
    sf_status status = candidates_make(data, &seek);
    if (status == SF_OK) {
        status = sweep_expect(data, matrix, &seek, &swept);
        if (status == SF_OK)
            status = report(data, matrix, &seek, &swept, result);
        sweep_clear(&swept);
    }
    candidates_clear(&seek);
    return status;
}

static sf_status fit_heat_balance(const sf_field_input *input, const sf_field_options *options,
                                  const grid *laid, model_result *result, const char **why)
{
    problem data;
    balance *matrix = NULL;
    sf_status status = problem_gather(input, laid, &data);
    bool unread = status == SF_ERROR_DATA && data.readings == 0 && result->joint;
    if (unread)
        status = SF_OK;
    else if (status == SF_ERROR_DATA)
        *why = data.readings == 0
                   ? "no reading is in the fit"
                   : "more readings than the model takes, expected at most 500: average neighbours";
    if (status == SF_OK)
        status = balance_new(laid, &matrix);
    if (status == SF_OK)
        status = unread                                 ? expect(&data, matrix, result)
                 : data.readings > SCALES_READINGS_MOST ? fit_many(&data, matrix, options, result)
                                                        : fit_few(&data, matrix, options, result);
    balance_free(matrix);
    problem_clear(&data);
    return status;
}

const field_model heat_balance_model = {
    .called = {"heat-balance",
               "heat spreads along the board and leaves by its faces; sources of unknown power"},
    .fit = fit_heat_balance,
};
