/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Warm-up series: the steady temperature from readings taken on the way there, by Bayesian model
 * averaging over two-exponential curves (asymptote.h). */
#include "readings/warmup.h"

#include <math.h>
#include <stdbool.h>

#include <gsl/gsl_cdf.h>

#include "spotfield/reading.h"

enum { READINGS_LEAST = 3 };

/* More likely than not, not even half a time constant of the board itself has passed. */
#define BEGINNING_MOST 0.5

/* Of the whole rise: a doubt above it says hardly more than that the board warms. */
#define OPEN_SHARE (1.0 / 3)

/* Chance of refusing a sound series. */
#define SCATTER_CHANCE 0.001

/* Late rows hold no more than one level, so that is all the freedom that a curve is sure to take.
 */
static bool is_scattered(const asymptote *led, size_t count)
{
    return gsl_cdf_chisq_Q(fmax(led->misfit, 0), (double)(count - 1)) < SCATTER_CHANCE;
}

static warmup_verdict judge(const asymptote *led, size_t count)
{
    if (is_scattered(led, count))
        return WARMUP_SCATTERED;
    if (led->beginning > BEGINNING_MOST)
        return WARMUP_STRAIGHT;
    bool is_settled = led->steady_sd_k <= fmax(SETTLED_SD_K, OPEN_SHARE * fabs(led->rise_k));
    return is_settled ? WARMUP_FITTED : WARMUP_OPEN;
}

static bool is_usable(const double *minute, const double *temp_k, size_t count, double sd_k)
{
    bool usable = count >= READINGS_LEAST && sd_k > 0 && isfinite(sd_k) && minute[0] >= 0;
    for (size_t i = 0; usable && i < count; i++)
        usable =
            isfinite(minute[i]) && isfinite(temp_k[i]) && (i == 0 || minute[i] > minute[i - 1]);
    return usable;
}

sf_status warmup_judge(const double *minute, const double *temp_k, size_t count, double sd_k,
                       double start_k, warmup *result)
{
    if (!is_usable(minute, temp_k, count, sd_k))
        return SF_ERROR_ARGUMENT;
    warm_rows rows = {minute, temp_k, count, sd_k, start_k};
    asymptote_average(&rows, &result->led);
    if (!isfinite(result->led.steady_k) || !isfinite(result->led.steady_sd_k))
        return SF_ERROR_NUMERIC;
    result->verdict = judge(&result->led, count);
    return SF_OK;
}

sf_status sf_warmup_fit(const double *minute, const double *temp_c, size_t count, double sd_k,
                        double *steady_c, double *steady_sd_k)
{
    warmup result;
    sf_status status = warmup_judge(minute, temp_c, count, sd_k, NAN, &result);
    if (status != SF_OK)
        return status;
    if (result.verdict != WARMUP_FITTED)
        return SF_ERROR_NUMERIC;
    *steady_c = result.led.steady_k;
    *steady_sd_k = result.led.steady_sd_k;
    return SF_OK;
}
