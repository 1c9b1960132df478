/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Leave-one-out predictions in closed form, and what follows where readings or sources cannot be
 * so: a gross error is one of two hypotheses about a reading. */
#include "field/judge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/parallel.h"
#include "field/dense.h"
#include "field/posterior.h"

#define SUSPECT_SCORE 1.5 /* from which a left-out score is worth a second look */
#define JUDGED_MOST 3
/* Readings that lose their weight, at most; one in twenty-five where there are more of them. */
#define JUDGED_ROUNDS 4
#define READINGS_A_ROUND 25
/* Judgement: of thirty readings one has a bead that came off, a digit too few, or another's place.
 */
#define GROSS_PRIOR (1.0 / 30)
#define GROSS_LEAST_K 10.0
#define GROSS_SHARE 0.5 /* of the warmest reading */

/* Covariance of the readings under hyperparameters, in which a found source counts with its mean
 * square and no mean, so that leaving a reading out can also take away the source it alone
 * supports. */
static sf_status widen(const fit_data *data, const length_fit *fit, const hyperparameters *at,
                       gaussian *wide)
{
    size_t count = data->readings;
    sf_status status = gaussian_set(wide, data, &fit->green, at);
    if (status == SF_OK && fit->found.from) {
        add_times(wide->covariance, fit->found.second_at, 1, count * count);
        status = gaussian_refactor(wide);
    }
    if (status == SF_OK)
        gaussian_invert(wide);
    return status;
}

static sf_estimate leave_out(const fit_data *data, const gaussian *wide, size_t i)
{
    const double *row = wide->inverse + i * data->readings;
    double pull = 0;
    for (size_t k = 0; k < data->readings; k++)
        pull += row[k] * (data->rise_k[k] - wide->expected[k]);
    return leave_one_out(data, i, pull, row[i]);
}

static double score_of(const fit_data *data, size_t reading, sf_estimate left_out_k)
{
    return (data->rise_k[reading] - left_out_k.value) / left_out_k.sd;
}

/* One reading to be judged by hyperparameters that it did not feed. */
typedef struct judgement {
    const fit_data *data;
    const length_fit *fit;
    size_t reading;
    sf_estimate left_out_k; /* the first judgement, which stays where no better one can be had */
} judgement;

static sf_status judge_anew(void *task)
{
    judgement *of = task;
    hyperparameters others;
    gaussian wide;
    sf_status status = gaussian_of(of->data, &of->fit->green, &wide);
    if (status == SF_OK)
        status = length_fit_hyperparameters_without(of->data, of->fit, of->reading, &others);
    if (status == SF_OK)
        status = widen(of->data, of->fit, &others, &wide);
    if (status == SF_OK)
        of->left_out_k = leave_out(of->data, &wide, of->reading);
    gaussian_clear(&wide);
    return status == SF_ERROR_NUMERIC ? SF_OK : status;
}

/* The reading of the worst score beyond SUSPECT_SCORE that is not marked; their number if none. */
static size_t worst_reading(const fit_data *data, const sf_estimate *left_out_k, const bool *marked)
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

/* A reading far from what the others expect has widened the hyperparameters it is judged by: the
 * worst are judged anew by hyperparameters that they did not feed. */
static sf_status judge_worst(const fit_data *data, const length_fit *fit, sf_estimate *left_out_k)
{
    bool marked[DENSE_READINGS_MOST] = {false};
    judgement tasks[JUDGED_MOST];
    size_t count = 0, worst;
    while (count < JUDGED_MOST &&
           (worst = worst_reading(data, left_out_k, marked)) < data->readings) {
        marked[worst] = true;
        tasks[count++] = (judgement){data, fit, worst, left_out_k[worst]};
    }
    sf_status status = parallel_for(judge_anew, tasks, count, sizeof *tasks);
    for (size_t k = 0; k < count; k++)
        left_out_k[tasks[k].reading] = tasks[k].left_out_k;
    return status;
}

static sf_status leave_each_out(const fit_data *data, const length_average *averaged,
                                sf_estimate *left_out_k)
{
    mixture *mixed_k = array_new(data->readings, sizeof *mixed_k);
    sf_status status = mixed_k ? SF_OK : SF_ERROR_MEMORY;
    for (size_t f = 0; status == SF_OK && f < averaged->count; f++) {
        gaussian wide;
        status = gaussian_of(data, &averaged->fits[f].green, &wide);
        if (status == SF_OK)
            status = widen(data, &averaged->fits[f], &averaged->fits[f].fitted, &wide);
        for (size_t i = 0; status == SF_OK && i < data->readings; i++) {
            sf_estimate one = leave_out(data, &wide, i);
            mix(&mixed_k[i], averaged->weights[f], one.value, one.sd * one.sd);
        }
        gaussian_clear(&wide);
    }
    for (size_t i = 0; status == SF_OK && i < data->readings; i++)
        left_out_k[i] = mixed(&mixed_k[i]);
    if (status == SF_OK)
        status = judge_worst(data, &averaged->fits[averaged->best], left_out_k);
    free(mixed_k);
    return status;
}

/* Scores of all readings were nothing unlisted on the board. */
static sf_status judge_alone(const fit_data *data, const length_fit *fit, double *scores)
{
    gaussian plain;
    sf_status status = gaussian_of(data, &fit->green, &plain);
    if (status == SF_OK)
        status = gaussian_set(&plain, data, &fit->green, &fit->fitted);
    if (status == SF_OK)
        gaussian_invert(&plain);
    for (size_t i = 0; status == SF_OK && i < data->readings; i++)
        scores[i] = score_of(data, i, leave_out(data, &plain, i));
    gaussian_clear(&plain);
    return status;
}

/* What a gross error may be, K. */
static double gross_sd_k(const fit_data *data)
{
    double most_k = 0;
    for (size_t i = 0; i < data->readings; i++)
        most_k = fmax(most_k, data->rise_k[i] / data->share[i]);
    return fmax(GROSS_LEAST_K, GROSS_SHARE * most_k);
}

static double log_density(double off_k, double sd_k)
{
    return -off_k * off_k / (2 * sd_k * sd_k) - log(sd_k);
}

/* Probability that a reading of rise_k is grossly wrong and no sound one: one in GROSS_PRIOR is,
 * and may then be off by as much as boards get warm. */
static double judge_gross(const fit_data *data, double rise_k, sf_estimate left_out_k)
{
    double off_k = rise_k - left_out_k.value;
    double sound = log_density(off_k, left_out_k.sd) + log(1 - GROSS_PRIOR);
    double gross = log_density(off_k, hypot(left_out_k.sd, gross_sd_k(data))) + log(GROSS_PRIOR);
    return 1 / (1 + exp(sound - gross));
}

double judge_reading(const fit_data *data, size_t reading, double rise_k, sf_estimate left_out_k)
{
    bool held = data->gross_k2[reading] > 0 || data->can_heats[reading];
    return held && data->members[reading] < 2 ? 1 : judge_gross(data, rise_k, left_out_k);
}

void judge_strength(const length_fit *fit, size_t source, double *mean, double *variance)
{
    size_t readings = fit->green.readings, sources = fit->green.sources;
    double sd = fit->under.strength_sd[source], pull = 0, known = 0;
    for (size_t i = 0; i < readings; i++) {
        double at_i = fit->green.source_at[i * sources + source];
        pull += at_i * fit->weights[i];
        for (size_t k = 0; k < readings; k++)
            known += at_i * fit->under.inverse[i * readings + k] *
                     fit->green.source_at[k * sources + source];
    }
    *mean = fit->under.strength_mean[source] + sd * sd * pull;
    *variance = fmax(sd * sd * (1 - sd * sd * known), 0);
}

static bool bar_cooling(fit_data *data, const judged_way *way, const void *of)
{
    bool barred = false;
    for (size_t j = 0; j < data->input->source_count; j++) {
        double mean, variance;
        way->strength(of, j, &mean, &variance);
        if (mean >= 0 || data->idle[j])
            continue;
        data->idle[j] = barred = true;
        data->cooling[j] = (sf_estimate){mean, sqrt(variance)};
    }
    return barred;
}

/* A can is held to make heat of its own: all readings on it show that. */
static void let_can_heat(fit_data *data, size_t reading, double wide_k)
{
    for (size_t k = 0; k < data->spots; k++) {
        if (!on_same_can(data, reading, k))
            continue;
        data->independent_k2[k] += wide_k * wide_k;
        data->can_heats[k] = true;
    }
}

/* Of the readings that are too cold, and of those on cans that are too warm, the least likely. A
 * thermogram's cells are not judged: what they show is known to be off, and by how much. */
static bool distrust_worst(fit_data *data, const sf_estimate *left_out_k)
{
    double most = FOUND_PROBABILITY;
    size_t worst = data->readings;
    for (size_t i = 0; i < data->spots; i++) {
        double gross = judge_gross(data, data->rise_k[i], left_out_k[i]);
        bool cold = data->rise_k[i] < left_out_k[i].value;
        bool held = data->gross_k2[i] > 0 || (!cold && (!data->on_can[i] || data->can_heats[i]));
        if (!held && gross > most) {
            most = gross;
            worst = i;
        }
    }
    if (worst == data->readings)
        return false;
    double wide_k = gross_sd_k(data);
    if (data->rise_k[worst] < left_out_k[worst].value)
        data->gross_k2[worst] = wide_k * wide_k;
    else
        let_can_heat(data, worst, wide_k);
    return true;
}

sf_status judge_leave_one_out(const fit_data *data, length_average *averaged)
{
    averaged->left_out_k = array_new(data->readings, sizeof *averaged->left_out_k);
    averaged->alone = array_new(data->readings, sizeof *averaged->alone);
    if (!averaged->left_out_k || !averaged->alone)
        return SF_ERROR_MEMORY;
    sf_status status = leave_each_out(data, averaged, averaged->left_out_k);
    if (status == SF_OK)
        status = judge_alone(data, &averaged->fits[averaged->best], averaged->alone);
    return status;
}

sf_status judge_fits(fit_data *data, const judged_way *way, void *of)
{
    sf_status status = SF_OK;
    bool again = true;
    size_t share = data->spots / READINGS_A_ROUND;
    size_t rounds = share > JUDGED_ROUNDS ? share : JUDGED_ROUNDS;
    for (size_t round = 0; again && status == SF_OK; round++) {
        const sf_estimate *left_out_k;
        status = way->fit(of);
        if (status == SF_OK)
            status = way->leave_out(of, &left_out_k);
        again = false;
        if (status == SF_OK && round < rounds) {
            bool barred = bar_cooling(data, way, of);
            again = distrust_worst(data, left_out_k) || barred;
        }
    }
    return status;
}
