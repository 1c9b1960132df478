/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Seeks heat that nobody listed: variational Bayes on a sum of single effects. */
#include "field/unlisted.h"

#include <gsl/gsl_sf_erf.h>
#include <gsl/gsl_sf_exp.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "core/memory.h"

#define PASSES_MOST 10
#define SETTLED 3e-3
#define NEGLIGIBLE 1e-9
#define FAR_BELOW (-100)
#define ERFC_MOST 8
#define LOG_2_PI 1.83787706640934548356

static bool allocate(unlisted *made)
{
    size_t count = made->from->count, readings = made->readings;
    made->at_readings = array_new(count * readings, sizeof(double));
    made->second_at = array_new(readings * readings, sizeof(double));
    made->spread_at = array_new(readings * readings, sizeof(double));
    bool whole = made->at_readings && made->second_at && made->spread_at;
    for (int k = 0; k < EFFECT_COUNT; k++) {
        effect *one = &made->effects[k];
        *one = (effect){.share = array_new(count, sizeof(double)),
                        .mean = array_new(count, sizeof(double)),
                        .variance = array_new(count, sizeof(double)),
                        .nothing = 1,
                        .mean_at = array_new(readings, sizeof(double))};
        whole = whole && one->share && one->mean && one->variance && one->mean_at;
    }
    return whole;
}

enum { READINGS_AT_ONCE = 4 };

/* What so many readings see of a candidate: their sums do not wait for one another. */
static void see_candidate(const footprint *cover, const double *const adjoints[READINGS_AT_ONCE],
                          size_t readings, double *at_readings)
{
    double sums[READINGS_AT_ONCE] = {0};
    for (size_t k = 0; k < cover->count; k++)
        for (int i = 0; i < READINGS_AT_ONCE; i++)
            sums[i] += cover->shares[k].share * adjoints[i][cover->shares[k].node];
    for (size_t i = 0; i < readings; i++)
        at_readings[i] = sums[i] / cover->area_mm2;
}

sf_status unlisted_start(const candidates *from, const green_functions *green, unlisted *made)
{
    size_t readings = green->readings;
    *made = (unlisted){.from = from, .readings = readings};
    if (!allocate(made))
        return SF_ERROR_MEMORY;
    for (size_t first = 0; first < readings; first += READINGS_AT_ONCE) {
        const double *adjoints[READINGS_AT_ONCE];
        size_t left = readings - first, count = left < READINGS_AT_ONCE ? left : READINGS_AT_ONCE;
        for (size_t i = 0; i < READINGS_AT_ONCE; i++)
            adjoints[i] = green->adjoint + (first + (i < count ? i : 0)) * green->nodes;
        for (size_t c = 0; c < from->count; c++)
            see_candidate(&from->covers[c], adjoints, count,
                          made->at_readings + c * readings + first);
    }
    return SF_OK;
}

void unlisted_clear(unlisted *made)
{
    free(made->at_readings);
    free(made->second_at);
    free(made->spread_at);
    for (int k = 0; k < EFFECT_COUNT; k++) {
        free(made->effects[k].share);
        free(made->effects[k].mean);
        free(made->effects[k].variance);
        free(made->effects[k].mean_at);
    }
    *made = (unlisted){0};
}

bool candidate_likely(const effect *one, size_t candidate)
{
    return one->share[candidate] >= CANDIDATE_SHARE;
}

double candidate_square(const effect *one, size_t candidate)
{
    return one->share[candidate] *
           (one->mean[candidate] * one->mean[candidate] + one->variance[candidate]);
}

void unlisted_mean_at(const unlisted *found, double *mean_at)
{
    for (size_t i = 0; i < found->readings; i++) {
        mean_at[i] = 0;
        for (int k = 0; k < EFFECT_COUNT; k++)
            mean_at[i] += found->effects[k].mean_at[i];
    }
}

double unlisted_doubt(const unlisted *found, const gaussian *under)
{
    return dot(under->inverse, found->spread_at, found->readings * found->readings) / 2;
}

/* The C library's erfc is the faster, as long as it is above 0. */
static double log_erfc(double x)
{
    return x < ERFC_MOST ? log(erfc(x)) : gsl_sf_log_erfc(x);
}

/* Posterior of one candidate's strength: exponential prior times Gaussian likelihood with
 * `precision` (log_spread: minus its logarithm) and `projection` is a normal cut at zero. Sets mean
 * and variance, returns the log of the evidence over nothing. */
static double weigh_candidate(double precision, double log_spread, double projection,
                              double prior_mean, double log_prior_mean, double *mean,
                              double *variance)
{
    double spread = 1 / precision, sd = sqrt(spread);
    double centre = (projection - 1 / prior_mean) * spread, score = centre / sd;
    if (score < FAR_BELOW) { /* as good as unseen: the prior, by the normal tail's expansion */
        double tail = 1 / (score * score);
        *mean = -sd / score * (1 - 2 * tail);
        *variance = *mean * *mean * (1 - 2 * tail);
        return log(-sd / score / prior_mean) - tail;
    }
    double log_above = log_erfc(-score / M_SQRT2) - M_LN2;
    double hazard = exp(-score * score / 2 - LOG_2_PI / 2 - log_above);
    *mean = fmax(centre + sd * hazard, 0);
    *variance = fmax(spread * (1 - score * hazard - hazard * hazard), 0);
    return -log_prior_mean + score * score / 2 + (LOG_2_PI + log_spread) / 2 + log_above;
}

/* Turns log weights into shares and returns the log of their sum. */
static double normalise(const candidates *from, effect *one, const double *log_prior,
                        double *log_weights)
{
    double most = log(NOTHING_PRIOR), sum = 0;
    for (size_t c = 0; c < from->count; c++) {
        log_weights[c] += log_prior[c];
        most = fmax(most, log_weights[c]);
    }
    for (size_t c = 0; c < from->count; c++)
        sum += one->share[c] = exp(log_weights[c] - most);
    one->nothing = exp(log(NOTHING_PRIOR) - most);
    sum += one->nothing;
    for (size_t c = 0; c < from->count; c++)
        one->share[c] /= sum;
    one->nothing /= sum;
    return most + log(sum);
}

static void sum_contributions(const unlisted *sought, effect *one)
{
    size_t readings = sought->readings;
    memset(one->mean_at, 0, readings * sizeof(double));
    for (size_t c = 0; c < sought->from->count; c++) {
        const double *at = sought->at_readings + c * readings;
        double first = one->share[c] * one->mean[c];
        if (one->share[c] < NEGLIGIBLE)
            continue;
        for (size_t i = 0; i < readings; i++)
            one->mean_at[i] += first * at[i];
    }
}

/* Of one candidate in all effects: the mean square of its strength. */
static double mean_square(const unlisted *sought, size_t candidate)
{
    double sum = 0;
    for (int k = 0; k < EFFECT_COUNT; k++) {
        const effect *one = &sought->effects[k];
        double mean = one->mean[candidate];
        if (one->share[candidate] >= NEGLIGIBLE)
            sum += one->share[candidate] * (mean * mean + one->variance[candidate]);
    }
    return sum;
}

/* Wanted only once the effects have settled; `rows` has room for what all readings see of all
 * candidates. */
static void sum_products(unlisted *sought, double *rows)
{
    size_t readings = sought->readings, stride = sought->from->count, kept = 0;
    for (size_t c = 0; c < sought->from->count; c++) {
        double size = sqrt(mean_square(sought, c));
        for (size_t i = 0; i < readings && size > 0; i++)
            rows[i * stride + kept] = size * sought->at_readings[c * readings + i];
        kept += size > 0;
    }
    for (size_t i = 0; i < readings; i++) {
        double *sum = sought->second_at + i * readings;
        dots(rows + i * stride, rows, stride, i + 1, kept, sum);
        for (size_t k = 0; k <= i; k++) {
            double means = 0;
            for (int e = 0; e < EFFECT_COUNT; e++)
                means += sought->effects[e].mean_at[i] * sought->effects[e].mean_at[k];
            sought->second_at[k * readings + i] = sum[k];
            sought->spread_at[k * readings + i] = sought->spread_at[i * readings + k] =
                sum[k] - means;
        }
    }
}

/* What the candidates are worth under one Gaussian. */
typedef struct search {
    const gaussian *under;
    double *whitened;    /* candidates rows of readings: L^-1 times contribution */
    double *precision;   /* per candidate */
    double *log_spread;  /* per candidate: logarithm of one over that */
    double *column;      /* per reading: what is to be projected, whitened */
    double *unexplained; /* per candidate: projection of the readings less all effects */
    double *explained[EFFECT_COUNT]; /* per candidate: projection of one effect */
    double *log_weights;             /* per candidate */
    double *log_prior;               /* per candidate */
} search;

/* L^-1, whose rows end at the diagonal, times what two columns hold of the readings. */
static void whiten_two(const gaussian *under, const double *one, const double *other,
                       double *whitened, double *other_whitened)
{
    size_t readings = under->readings;
    memset(whitened, 0, readings * sizeof *whitened);
    memset(other_whitened, 0, readings * sizeof *other_whitened);
    for (size_t i = 0; i < readings; i += READINGS_AT_ONCE) {
        size_t left = readings - i, rows = left < READINGS_AT_ONCE ? left : READINGS_AT_ONCE;
        add_dots_of_two(one, other, under->below + i * readings, readings, rows, i + rows,
                        whitened + i, other_whitened + i);
    }
}

/* Of every candidate with what is given of the readings, both weighed by their inverse covariance.
 */
static void project(const search *from, size_t count, const double *given, double *projections)
{
    size_t readings = from->under->readings;
    for (size_t i = 0; i < readings; i++)
        from->column[i] = dot(from->under->below + i * readings, given, i + 1);
    dots(from->column, from->whitened, readings, count, readings, projections);
}

/* One effect given the others; returns what it adds to the bound. */
static double update_effect(unlisted *sought, effect *one, search *work, double *explained,
                            double strength_k_mm2)
{
    double fitted = 0, log_strength = log(strength_k_mm2);
    add_times(work->unexplained, explained, 1, sought->from->count);
    for (size_t c = 0; c < sought->from->count; c++)
        work->log_weights[c] =
            weigh_candidate(work->precision[c], work->log_spread[c], work->unexplained[c],
                            strength_k_mm2, log_strength, &one->mean[c], &one->variance[c]);
    one->log_factor = normalise(sought->from, one, work->log_prior, work->log_weights);
    for (size_t c = 0; c < sought->from->count; c++) {
        double second = one->mean[c] * one->mean[c] + one->variance[c];
        fitted +=
            one->share[c] * (work->unexplained[c] * one->mean[c] - work->precision[c] * second / 2);
    }
    sum_contributions(sought, one);
    project(work, sought->from->count, one->mean_at, explained);
    add_times(work->unexplained, explained, -1, sought->from->count);
    return one->log_factor - fitted;
}

static void weigh_candidates(const unlisted *sought, const gaussian *under, search *work)
{
    size_t count = sought->from->count, readings = sought->readings;
    for (size_t c = 0; c < count; c += 2) {
        const double *at = sought->at_readings + c * readings;
        double *whitened = work->whitened + c * readings;
        if (c + 1 < count)
            whiten_two(under, at, at + readings, whitened, whitened + readings);
        else
            whiten_two(under, at, at, whitened, work->column);
    }
    for (size_t c = 0; c < count; c++) {
        const double *whitened = work->whitened + c * readings;
        work->precision[c] = fmax(dot(whitened, whitened, readings), 1e-300);
        work->log_spread[c] = log(1 / work->precision[c]);
        work->log_prior[c] = log((1 - NOTHING_PRIOR) * sought->from->prior[c]);
    }
}

static bool search_start(const unlisted *sought, const gaussian *under, const double *rise_k,
                         search *work)
{
    size_t count = sought->from->count, readings = sought->readings;
    *work = (search){.under = under,
                     .whitened = array_new(count * readings, sizeof(double)),
                     .column = array_new(readings, sizeof(double)),
                     .precision = array_new(count, sizeof(double)),
                     .log_spread = array_new(count, sizeof(double)),
                     .unexplained = array_new(count, sizeof(double)),
                     .log_weights = array_new(count, sizeof(double)),
                     .log_prior = array_new(count, sizeof(double))};
    double *residual = array_new(readings, sizeof *residual);
    bool whole = work->whitened && work->column && work->precision && work->log_spread &&
                 work->unexplained && work->log_weights && work->log_prior && residual;
    for (int k = 0; k < EFFECT_COUNT; k++)
        whole = (work->explained[k] = array_new(count, sizeof(double))) && whole;
    for (size_t i = 0; whole && i < readings; i++) {
        residual[i] = rise_k[i] - under->expected[i];
        for (int k = 0; k < EFFECT_COUNT; k++)
            residual[i] -= sought->effects[k].mean_at[i];
    }
    if (whole) {
        weigh_candidates(sought, under, work);
        project(work, count, residual, work->unexplained);
    }
    for (int k = 0; whole && k < EFFECT_COUNT; k++)
        project(work, count, sought->effects[k].mean_at, work->explained[k]);
    free(residual);
    return whole;
}

sf_status unlisted_update(unlisted *sought, const gaussian *under, const double *rise_k,
                          double strength_k_mm2)
{
    search work;
    bool started = search_start(sought, under, rise_k, &work);
    for (int pass = 0; started && pass < PASSES_MOST; pass++) {
        double moved = 0;
        sought->bound = 0;
        for (int k = 0; k < EFFECT_COUNT; k++) {
            effect *one = &sought->effects[k];
            double before = one->nothing;
            sought->bound += update_effect(sought, one, &work, work.explained[k], strength_k_mm2);
            moved = fmax(moved, fabs(one->nothing - before));
        }
        if (moved < SETTLED)
            break;
    }
    if (started)
        sum_products(sought, work.whitened);
    free(work.whitened);
    free(work.column);
    free(work.precision);
    free(work.log_spread);
    free(work.unexplained);
    for (int k = 0; k < EFFECT_COUNT; k++)
        free(work.explained[k]);
    free(work.log_weights);
    free(work.log_prior);
    return started ? SF_OK : SF_ERROR_MEMORY;
}
