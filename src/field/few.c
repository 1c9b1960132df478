/* What few readings tell: field, doubt, left-out predictions, sources and scales. */
#include "field/few.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/together.h"
#include "field/account.h"
#include "field/doubt.h"
#include "field/joint.h"

#define SUSPECT_SCORE 1.5 /* from which a left-out score is worth a second look */
#define JUDGED_MOST 3

/* Covariance of the readings under scales, in which a found source counts with its mean square and
 * no mean, so that leaving a reading out can also take away the source it alone supports. */
static sf_status widen(const problem *data, const length_fit *fit, const scales *at, gaussian *wide)
{
    size_t count = data->readings;
    sf_status status = gaussian_set(wide, data, &fit->answer, at);
    if (status == SF_OK && fit->found.from) {
        for (int k = 0; k < EFFECT_COUNT; k++)
            for (size_t i = 0; i < count * count; i++)
                wide->covariance[i] += fit->found.effects[k].second_at[i];
        status = gaussian_refactor(wide);
    }
    return status == SF_OK ? gaussian_invert(wide) : status;
}

/* Prediction of one reading from all others, in closed form from the inverse covariance: the
 * reading minus (C^-1 r)_i / (C^-1)_ii. */
static sf_estimate leave_out(const problem *data, const gaussian *wide, size_t i)
{
    const double *row = wide->inverse + i * data->readings;
    double pull = 0;
    for (size_t k = 0; k < data->readings; k++)
        pull += row[k] * (data->rise_k[k] - wide->expected[k]);
    return (sf_estimate){data->rise_k[i] - pull / row[i], 1 / sqrt(row[i])};
}

static double score_of(const problem *data, size_t reading, sf_estimate left_out_k)
{
    return (data->rise_k[reading] - left_out_k.value) / left_out_k.sd;
}

/* One reading to be judged by scales that it did not feed. */
typedef struct judgement {
    const problem *data;
    const length_fit *fit;
    size_t reading;
    sf_estimate left_out_k; /* the first judgement, which stays where no better one can be had */
} judgement;

static sf_status judge_anew(void *task)
{
    judgement *of = task;
    scales others;
    gaussian wide;
    sf_status status = gaussian_new(of->data->readings, of->data->input->source_count, &wide);
    if (status == SF_OK)
        status = length_fit_scales_without(of->data, of->fit, of->reading, &others);
    if (status == SF_OK)
        status = widen(of->data, of->fit, &others, &wide);
    if (status == SF_OK)
        of->left_out_k = leave_out(of->data, &wide, of->reading);
    gaussian_clear(&wide);
    return status == SF_ERROR_NUMERIC ? SF_OK : status;
}

/* The reading of the worst score beyond SUSPECT_SCORE that is not marked; their number if none. */
static size_t worst_reading(const problem *data, const sf_estimate *left_out_k, const bool *marked)
{
    size_t worst = data->readings;
    double most = SUSPECT_SCORE;
    for (size_t i = 0; i < data->readings; i++) {
        double score = fabs(score_of(data, i, left_out_k[i]));
        if (!marked[i] && score > most) {
            most = score;
            worst = i;
        }
    }
    return worst;
}

/* A reading far from what the others expect has widened the scales it is judged by: the worst are
 * judged anew by scales that they did not feed. */
static sf_status judge_worst(const problem *data, const length_fit *fit, sf_estimate *left_out_k)
{
    bool marked[FEW_READINGS_MOST] = {false};
    judgement tasks[JUDGED_MOST];
    size_t count = 0, worst;
    while (count < JUDGED_MOST &&
           (worst = worst_reading(data, left_out_k, marked)) < data->readings) {
        marked[worst] = true;
        tasks[count++] = (judgement){data, fit, worst, left_out_k[worst]};
    }
    sf_status status = together(judge_anew, tasks, count, sizeof *tasks);
    for (size_t k = 0; k < count; k++)
        left_out_k[tasks[k].reading] = tasks[k].left_out_k;
    return status;
}

static sf_status leave_out_all(const problem *data, const sweep *swept, sf_estimate *left_out_k)
{
    gaussian wide;
    mixture *mixed_k = array_new(data->readings, sizeof *mixed_k);
    sf_status status = gaussian_new(data->readings, data->input->source_count, &wide);
    if (!mixed_k)
        status = SF_ERROR_MEMORY;
    for (size_t f = 0; status == SF_OK && f < swept->count; f++) {
        status = widen(data, &swept->fits[f], &swept->fits[f].fitted, &wide);
        for (size_t i = 0; status == SF_OK && i < data->readings; i++) {
            sf_estimate one = leave_out(data, &wide, i);
            mix(&mixed_k[i], swept->weights[f], one.value, one.sd * one.sd);
        }
    }
    for (size_t i = 0; status == SF_OK && i < data->readings; i++)
        left_out_k[i] = mixed(&mixed_k[i]);
    if (status == SF_OK)
        status = judge_worst(data, &swept->fits[swept->best], left_out_k);
    gaussian_clear(&wide);
    free(mixed_k);
    return status;
}

static sf_status report_readings(const problem *data, const sweep *swept, model_result *result)
{
    sf_estimate *left_out_k = array_new(data->readings, sizeof *left_out_k);
    sf_status status = left_out_k ? leave_out_all(data, swept, left_out_k) : SF_ERROR_MEMORY;
    double squares = 0;
    for (size_t i = 0; status == SF_OK && i < data->readings; i++) {
        sf_reading_fit *fit = &result->readings[i];
        fit->left_out_k = left_out_k[i];
        fit->score = score_of(data, i, left_out_k[i]);
        squares += pow(data->rise_k[i] - left_out_k[i].value, 2);
        fit->fitted_k.value =
            field_at(data, &result->mean, data->points[i].x_mm, data->points[i].y_mm);
        fit->fitted_k.sd = sqrt(sample_value(&data->samples[i], result->variance_k2));
    }
    result->summary.left_out_rmse_k = sqrt(squares / (double)data->readings);
    free(left_out_k);
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
    sweep_average(data, swept, &result->mean, result->variance_k2);
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
