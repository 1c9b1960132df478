/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Ordinary kriging: hyperparameters by maximum likelihood, everything else in closed form. */
#include "field/kriging.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/discrepancy.h"
#include "field/simplex.h"

#define LIKELY_POINTS_MOST 100 /* the work grows with their cube */
#define SIMPLEX_SIZE 0.02      /* in logarithms */
#define LEAST_VARIANCE_K2 1e-8
#define HOPELESS 1e12

/* The hyperparameters searched, logarithms of sill, length and nugget: the variances as shares of
 * the values' own, the length as one of the points' extent. */
enum { HYPERPARAMETERS = 3 };
static const double least_share[HYPERPARAMETERS] = {1e-6, 1.0 / 30, 1e-6};
static const double most_share[HYPERPARAMETERS] = {1e3, 2, 10};

static void fill_covariance(const kriging_data *of, const kriging_hyperparameters *at,
                            double *covariance)
{
    size_t count = of->count;
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k <= i; k++)
            covariance[i * count + k] = covariance[k * count + i] =
                at->sill_k2 * discrepancy_alike(of->points[i], of->points[k], at->length_mm) +
                of->noise_k2[i * count + k] + (i == k ? at->nugget_k2 : 0);
}

/* The factor's inverse times values. */
static void whiten(const gaussian *under, const double *values, double *into)
{
    for (size_t i = 0; i < under->readings; i++) {
        const double *row = under->cholesky + i * under->readings;
        into[i] = (values[i] - dot(row, into, i)) / row[i];
    }
}

/* --- the hyperparameters --- */

typedef struct search {
    const kriging_data *of;
    gaussian under;
    double *ones, *work, *residual; /* whitened ones; the others hold a value a point each */
    double low[HYPERPARAMETERS], high[HYPERPARAMETERS];
} search;

static sf_status search_new(const kriging_data *of, search *made)
{
    *made = (search){.of = of};
    sf_status status = gaussian_new(of->count, 0, &made->under);
    made->ones = array_new(of->count, sizeof(double));
    made->work = array_new(of->count, sizeof(double));
    made->residual = array_new(of->count, sizeof(double));
    return made->ones && made->work && made->residual ? status : SF_ERROR_MEMORY;
}

static void search_clear(search *made)
{
    gaussian_clear(&made->under);
    free(made->ones);
    free(made->work);
    free(made->residual);
}

static double log_likelihood(search *at, const kriging_hyperparameters *trial)
{
    const kriging_data *of = at->of;
    gaussian *under = &at->under;
    fill_covariance(of, trial, under->covariance);
    if (gaussian_refactor(under) != SF_OK)
        return -INFINITY;
    for (size_t i = 0; i < of->count; i++)
        at->residual[i] = 1;
    whiten(under, at->residual, at->ones);
    whiten(under, of->values, at->work);
    double mean = dot(at->ones, at->work, of->count) / dot(at->ones, at->ones, of->count);
    for (size_t i = 0; i < of->count; i++)
        at->residual[i] = of->values[i] - mean;
    return gaussian_log_density(under, at->residual, at->work);
}

static kriging_hyperparameters from_logs(const double logs[HYPERPARAMETERS])
{
    return (kriging_hyperparameters){exp(logs[0]), exp(logs[1]), exp(logs[2])};
}

/* Beyond the limits it is that of the limit, and falls off. */
static double minus_log_likelihood(const gsl_vector *logs, void *given)
{
    search *at = given;
    double within[HYPERPARAMETERS], beyond = 0;
    for (size_t i = 0; i < HYPERPARAMETERS; i++) {
        double asked = gsl_vector_get(logs, i);
        within[i] = fmin(fmax(asked, at->low[i]), at->high[i]);
        beyond += (asked - within[i]) * (asked - within[i]);
    }
    kriging_hyperparameters trial = from_logs(within);
    double sum = log_likelihood(at, &trial);
    return isfinite(sum) ? beyond - sum : HOPELESS;
}

/* Limits by the values and their places. SF_ERROR_DATA where they have no extent. */
static sf_status set_limits(search *at)
{
    const kriging_data *of = at->of;
    sf_point low = {INFINITY, INFINITY}, high = {-INFINITY, -INFINITY};
    double mean = 0, variance = LEAST_VARIANCE_K2;
    for (size_t i = 0; i < of->count; i++) {
        sf_point place = of->points[i];
        low = (sf_point){fmin(low.x_mm, place.x_mm), fmin(low.y_mm, place.y_mm)};
        high = (sf_point){fmax(high.x_mm, place.x_mm), fmax(high.y_mm, place.y_mm)};
        mean += of->values[i] / (double)of->count;
    }
    for (size_t i = 0; i < of->count; i++)
        variance +=
            ((of->values[i] - mean) * (of->values[i] - mean) + of->noise_k2[i * of->count + i]) /
            (double)of->count;
    double extent_mm = hypot(high.x_mm - low.x_mm, high.y_mm - low.y_mm);
    if (!(extent_mm > 0))
        return SF_ERROR_DATA;
    const double unit[HYPERPARAMETERS] = {variance, extent_mm, variance};
    for (size_t i = 0; i < HYPERPARAMETERS; i++) {
        at->low[i] = log(unit[i] * least_share[i]);
        at->high[i] = log(unit[i] * most_share[i]);
    }
    return SF_OK;
}

/* The likelihood may have several peaks: the best of a few trials is where the search begins. */
static void choose_start(search *at, double best[HYPERPARAMETERS])
{
    static const double sills[] = {0.3, 2}, lengths[] = {0.05, 0.1, 0.2, 0.4, 0.8},
                        nuggets[] = {1e-4, 0.01, 0.2};
    double unit[HYPERPARAMETERS], least = INFINITY;
    for (size_t i = 0; i < HYPERPARAMETERS; i++)
        unit[i] = at->low[i] - log(least_share[i]);
    for (size_t trial = 0; trial < 2 * 5 * 3; trial++) {
        double logs[HYPERPARAMETERS] = {unit[0] + log(sills[trial % 2]),
                                        unit[1] + log(lengths[trial / 2 % 5]),
                                        unit[2] + log(nuggets[trial / 10])};
        gsl_vector_view view = gsl_vector_view_array(logs, HYPERPARAMETERS);
        double told = minus_log_likelihood(&view.vector, at);
        if (told < least) {
            least = told;
            memcpy(best, logs, sizeof logs);
        }
    }
}

static sf_status seek(const kriging_data *of, kriging_hyperparameters *found)
{
    search at;
    double logs[HYPERPARAMETERS];
    sf_status status = search_new(of, &at);
    if (status == SF_OK)
        status = set_limits(&at);
    if (status == SF_OK) {
        choose_start(&at, logs);
        status = simplex_minimise(minus_log_likelihood, &at, logs, HYPERPARAMETERS, SIMPLEX_SIZE);
    }
    for (size_t i = 0; status == SF_OK && i < HYPERPARAMETERS; i++)
        logs[i] = fmin(fmax(logs[i], at.low[i]), at.high[i]);
    if (status == SF_OK) {
        *found = from_logs(logs);
        status = isfinite(log_likelihood(&at, found)) ? SF_OK : SF_ERROR_NUMERIC;
    }
    search_clear(&at);
    return status;
}

sf_status kriging_likely(const kriging_data *of, kriging_hyperparameters *found)
{
    if (of->count < KRIGING_POINTS_LEAST)
        return SF_ERROR_DATA;
    if (of->count <= LIKELY_POINTS_MOST)
        return seek(of, found);
    size_t count = LIKELY_POINTS_MOST;
    sf_point *points = array_new(count, sizeof *points);
    double *values = array_new(count, sizeof *values);
    double *noise_k2 = array_new(count * count, sizeof *noise_k2);
    sf_status status = points && values && noise_k2 ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < count; i++) {
        size_t from = i * of->count / count;
        points[i] = of->points[from];
        values[i] = of->values[from];
        for (size_t k = 0; k < count; k++)
            noise_k2[i * count + k] = of->noise_k2[from * of->count + k * of->count / count];
    }
    if (status == SF_OK)
        status = seek(&(kriging_data){count, points, values, noise_k2}, found);
    free(points);
    free(values);
    free(noise_k2);
    return status;
}

/* --- the field --- */

sf_status kriging_solve(const kriging_data *of, const kriging_hyperparameters *at, kriging *made)
{
    size_t count = of->count;
    *made = (kriging){.points = of->points, .at = *at};
    sf_status status = gaussian_new(count, 0, &made->under);
    made->pulls = array_new(count, sizeof(double));
    made->ones = array_new(count, sizeof(double));
    if (status != SF_OK || !made->pulls || !made->ones)
        return SF_ERROR_MEMORY;
    fill_covariance(of, at, made->under.covariance);
    status = gaussian_refactor(&made->under);
    if (status != SF_OK)
        return status;
    gaussian_invert(&made->under);
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            made->ones[i] += made->under.inverse[i * count + k];
    for (size_t i = 0; i < count; i++)
        made->weight += made->ones[i];
    made->mean = dot(made->ones, of->values, count) / made->weight;
    for (size_t i = 0; i < count; i++) {
        made->pulls[i] =
            dot(made->under.inverse + i * count, of->values, count) - made->ones[i] * made->mean;
        made->log_likelihood -= (of->values[i] - made->mean) * made->pulls[i] / 2 +
                                log(made->under.cholesky[i * count + i]);
    }
    return isfinite(made->mean) ? SF_OK : SF_ERROR_NUMERIC;
}

void kriging_clear(kriging *made)
{
    gaussian_clear(&made->under);
    free(made->pulls);
    free(made->ones);
    *made = (kriging){0};
}

double kriging_at(const kriging *of, sf_point place, double *work, double *variance_k2)
{
    size_t count = of->under.readings;
    double told = 0;
    for (size_t i = 0; i < count; i++)
        work[i] = of->at.sill_k2 * discrepancy_alike(place, of->points[i], of->at.length_mm);
    if (variance_k2) {
        for (size_t i = 0; i < count; i++)
            told += work[i] * dot(of->under.inverse + i * count, work, count);
        double short_of = 1 - dot(work, of->ones, count);
        *variance_k2 = fmax(of->at.sill_k2 - told + short_of * short_of / of->weight, 0);
    }
    return of->mean + dot(work, of->pulls, count);
}

double kriging_leave_one_out(const kriging *of, size_t i, double *variance_k2)
{
    double own = of->under.inverse[i * of->under.readings + i];
    *variance_k2 = 1 / (own - of->ones[i] * of->ones[i] / of->weight);
    return of->pulls[i] * *variance_k2;
}
