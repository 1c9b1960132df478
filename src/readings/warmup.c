/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Warm-up series: the steady temperature from readings taken on the way there, by Bayesian model
 * averaging over two-exponential curves. */
#include "readings/warmup.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>

#include "spotfield/reading.h"

/* --- the steady end, averaged over curves --- */

/* Bayesian model averaging over a grid of two-body (two-exponential) warm-ups. With constants and
 * share held, the curve is linear in where it starts and where it ends, and all is Gaussian: T(t) =
 * steady - (steady - start) g(t), g(t) = (1 - share) exp(-t/fast) + share exp(-t/slow). The
 * constants of the prior were chosen by tests/benchmark/series.c. */

/* count >= 1 readings of independent standard uncertainty sd_k > 0 at rising minutes >= 0. */
typedef struct warm_rows {
    const double *minute, *temp_k;
    size_t count;
    double sd_k;
    double start_k; /* at switch-on, as far as it is known; NAN: not at all */
} warm_rows;

enum { FASTS = 70, SLOWS = 8, SHARES = 14, AHEADS = 24 };

/* The board itself: lognormal about 10 minutes. */
#define FAST_LEAST_MIN 2.0
#define FAST_MOST_MIN 90.0
#define FAST_USUAL_MIN 10.0
#define FAST_LOG_SD 0.8

/* The body behind it, a cabinet, a heat sink, a transformer: evenly between these. */
#define SLOW_LEAST_MIN 40.0
#define SLOW_MOST_MIN 240.0
#define SLOWER_LEAST 1.5 /* times the fast one: else they are one body */

/* Its share of the rise: none, with this chance, else normal, cut off at 0 and at the most: 21 +/-
 * 13 % in all. Wider, an early interval would hold all that cabinets do and more. */
#define NONE_CHANCE 0.17
#define SHARE_USUAL 0.25
#define SHARE_SD 0.1
#define SHARE_MOST 0.6

/* A board is switched on cold, but for one in ten that was on a short while ago. Where nothing is
 * known temperatures may be anywhere in what boards stand. */
#define COLD_SD_K 5.0
#define COLD_CHANCE 0.9
#define ANY_SD_K 100.0

/* No board is quite two exponentials: what the curve misses, as a share of what the rows span. */
#define CURVE_SD_SHARE 0.004

#define AHEAD_STEP_MIN 15.0
/* Later rows that bring the doubt down by less than this share more are not waited for. */
#define AHEAD_GAIN_SHARE 0.1

/* What the rows hold, as sums of z = temp - origin and of the two exponentials. */
typedef struct row_sums {
    double count, z, zz;
    double f, s, ff, fs, ss, fz, sz;
} row_sums;

/* One board: a point of the grid. */
typedef struct board_guess {
    double fast_min, slow_min, share;
    double start_sd_k;
    double log_prior;
} board_guess;

/* What its curve comes to, over the origin: means and covariances of steady and start. */
typedef struct line_fit {
    double steady_k, start_k;
    double steady_var, both_cov, start_var;
    double misfit;
    double log_weight;
} line_fit;

/* Rows, and weighted sums over all boards so far; weights are relative to the best one. */
typedef struct averaging {
    const warm_rows *rows;
    double origin_k, variance_k2;
    double best_log;
    double weight, steady, steady_square, rise, share, beginning;
    double shown[AHEADS], shown_square[AHEADS], shown_steady[AHEADS];
    double least_misfit;
} averaging;

static double last_min(const warm_rows *of)
{
    return of->minute[of->count - 1];
}

/* At round times. */
static double ahead_min(const warm_rows *of, size_t i)
{
    return AHEAD_STEP_MIN * (floor(last_min(of) / AHEAD_STEP_MIN) + 1 + (double)i);
}

static row_sums sum_rows(const averaging *run, double fast_min, double slow_min)
{
    row_sums sums = {.count = (double)run->rows->count};
    for (size_t i = 0; i < run->rows->count; i++) {
        double f = exp(-run->rows->minute[i] / fast_min);
        double s = exp(-run->rows->minute[i] / slow_min);
        double z = run->rows->temp_k[i] - run->origin_k;
        sums.z += z;
        sums.zz += z * z;
        sums.f += f;
        sums.s += s;
        sums.ff += f * f;
        sums.fs += f * s;
        sums.ss += s * s;
        sums.fz += f * z;
        sums.sz += s * z;
    }
    return sums;
}

/* Least squares of z = steady (1 - g) + start g with the priors of both, and the logarithm of what
 * the rows make of this board (the evidence, but for what all boards share). */
static line_fit fit_line(const averaging *run, const row_sums *sums, const board_guess *board)
{
    double p = 1 - board->share, q = board->share, variance = run->variance_k2;
    double g = p * sums->f + q * sums->s, gz = p * sums->fz + q * sums->sz;
    double gg = p * p * sums->ff + 2 * p * q * sums->fs + q * q * sums->ss;
    double uu = sums->count - 2 * g + gg, uv = g - gg, uz = sums->z - gz;
    double a = uu / variance + 1 / (ANY_SD_K * ANY_SD_K), b = uv / variance;
    double c = gg / variance + 1 / (board->start_sd_k * board->start_sd_k);
    double determinant = a * c - b * b;
    line_fit fit = {.steady_k = (c * uz - b * gz) / variance / determinant,
                    .start_k = (a * gz - b * uz) / variance / determinant,
                    .steady_var = c / determinant,
                    .both_cov = -b / determinant,
                    .start_var = a / determinant};
    double met = fit.steady_k * uz + fit.start_k * gz;
    fit.misfit = (sums->zz - 2 * met + fit.steady_k * fit.steady_k * uu +
                  2 * fit.steady_k * fit.start_k * uv + fit.start_k * fit.start_k * gg) /
                 variance;
    fit.log_weight = board->log_prior - log(determinant) / 2 - log(board->start_sd_k) -
                     (sums->zz - met) / variance / 2;
    return fit;
}

/* What a row ahead would show, before its own noise. */
static void look_ahead(averaging *to, const board_guess *board, const line_fit *fit, double weight)
{
    for (size_t i = 0; i < AHEADS; i++) {
        double minute = ahead_min(to->rows, i);
        double g = (1 - board->share) * exp(-minute / board->fast_min) +
                   board->share * exp(-minute / board->slow_min);
        double shown_k = fit->steady_k * (1 - g) + fit->start_k * g;
        double variance = fit->steady_var * (1 - g) * (1 - g) + 2 * fit->both_cov * g * (1 - g) +
                          fit->start_var * g * g;
        double covariance = fit->steady_var * (1 - g) + fit->both_cov * g;
        to->shown[i] += weight * shown_k;
        to->shown_square[i] += weight * (shown_k * shown_k + variance);
        to->shown_steady[i] += weight * (shown_k * fit->steady_k + covariance);
    }
}

static void scale_all(averaging *of, double by)
{
    of->weight *= by;
    of->steady *= by;
    of->steady_square *= by;
    of->rise *= by;
    of->share *= by;
    of->beginning *= by;
    for (size_t i = 0; i < AHEADS; i++) {
        of->shown[i] *= by;
        of->shown_square[i] *= by;
        of->shown_steady[i] *= by;
    }
}

#define WEIGHT_LOG_LEAST                                                                           \
    (-16.0) /* what is a ten-millionth as likely as the best counts as not so */

static void add_board(averaging *to, const row_sums *sums, const board_guess *board)
{
    line_fit fit = fit_line(to, sums, board);
    to->least_misfit = fmin(to->least_misfit, fit.misfit);
    if (!(fit.log_weight - to->best_log > WEIGHT_LOG_LEAST))
        return;
    if (fit.log_weight > to->best_log) {
        scale_all(to, exp(to->best_log - fit.log_weight));
        to->best_log = fit.log_weight;
    }
    double weight = exp(fit.log_weight - to->best_log);
    to->weight += weight;
    to->steady += weight * fit.steady_k;
    to->steady_square += weight * (fit.steady_k * fit.steady_k + fit.steady_var);
    to->rise += weight * (fit.steady_k - fit.start_k);
    to->share += weight * board->share;
    to->beginning += board->fast_min > 2 * last_min(to->rows) ? weight : 0;
    look_ahead(to, board, &fit, weight);
}

/* The i-th share of the grid, denser towards none, and its prior chance up to a factor. */
static double share_at(size_t i)
{
    double u = (double)i / SHARES;
    return SHARE_MOST * u * u;
}

static double share_density(size_t i)
{
    double off = (share_at(i) - SHARE_USUAL) / SHARE_SD;
    return (double)i * exp(-off * off / 2);
}

static double share_chance(size_t i)
{
    double sum = 0;
    for (size_t j = 1; j <= SHARES; j++)
        sum += share_density(j);
    return i == 0 ? NONE_CHANCE : (1 - NONE_CHANCE) * share_density(i) / sum;
}

/* All shares and both kinds of start, of one pair of time constants. */
static void add_pair(averaging *run, const double *log_share_chance, double fast_min,
                     double slow_min)
{
    row_sums sums = sum_rows(run, fast_min, slow_min);
    double off = log(fast_min / FAST_USUAL_MIN) / FAST_LOG_SD;
    /* evenly in minutes on a grid that is even in their logarithm: as many times as likely */
    double log_prior = log(slow_min) - off * off / 2;
    for (size_t i = 0; i <= SHARES; i++) {
        board_guess board = {fast_min, slow_min, share_at(i), ANY_SD_K,
                             log_prior + log_share_chance[i]};
        if (isnan(run->rows->start_k)) {
            add_board(run, &sums, &board);
            continue;
        }
        board.log_prior += log(1 - COLD_CHANCE);
        add_board(run, &sums, &board);
        board.log_prior += log(COLD_CHANCE / (1 - COLD_CHANCE));
        board.start_sd_k = COLD_SD_K;
        add_board(run, &sums, &board);
    }
}

static void add_all(averaging *run)
{
    double log_share_chance[SHARES + 1];
    for (size_t i = 0; i <= SHARES; i++)
        log_share_chance[i] = log(share_chance(i));
    for (size_t i = 0; i < FASTS; i++) {
        double fast_min =
            FAST_LEAST_MIN * pow(FAST_MOST_MIN / FAST_LEAST_MIN, (double)i / (FASTS - 1));
        for (size_t j = 0; j < SLOWS; j++) {
            double slow_min =
                SLOW_LEAST_MIN * pow(SLOW_MOST_MIN / SLOW_LEAST_MIN, (double)j / (SLOWS - 1));
            if (slow_min >= SLOWER_LEAST * fast_min)
                add_pair(run, log_share_chance, fast_min, slow_min);
        }
    }
}

static averaging begin(const warm_rows *of)
{
    double least_k = INFINITY, most_k = -INFINITY, mean_k = 0;
    for (size_t i = 0; i < of->count; i++) {
        least_k = fmin(least_k, of->temp_k[i]);
        most_k = fmax(most_k, of->temp_k[i]);
        mean_k += of->temp_k[i] / (double)of->count;
    }
    double curve_sd_k = CURVE_SD_SHARE * (most_k - least_k);
    return (averaging){.rows = of,
                       .origin_k = isnan(of->start_k) ? mean_k : of->start_k,
                       .variance_k2 = of->sd_k * of->sd_k + curve_sd_k * curve_sd_k,
                       .best_log = -INFINITY,
                       .least_misfit = INFINITY};
}

/* The doubt that is left after a row ahead: what it shows of the steady state, linearly. */
static double sd_after_k(const averaging *of, size_t i)
{
    double steady = of->steady / of->weight, shown = of->shown[i] / of->weight;
    double variance = of->steady_square / of->weight - steady * steady;
    double shown_variance = of->shown_square[i] / of->weight - shown * shown + of->variance_k2;
    double covariance = of->shown_steady[i] / of->weight - shown * steady;
    return sqrt(fmax(variance - covariance * covariance / shown_variance, 0));
}

/* The first row that settles it, or else does nearly as much as any. */
static void find_further(const averaging *run, asymptote *result)
{
    double least_k = INFINITY;
    for (size_t i = 0; i < AHEADS; i++)
        least_k = fmin(least_k, sd_after_k(run, i));
    double wanted_k = fmax(SETTLED_SD_K, (1 + AHEAD_GAIN_SHARE) * least_k);
    size_t first = 0;
    while (first + 1 < AHEADS && sd_after_k(run, first) > wanted_k)
        first++;
    result->further_min = ahead_min(run->rows, first);
    result->further_sd_k = sd_after_k(run, first);
}

/* Where a warm-up leads when nobody knows what stands behind the board: averaged over boards of any
 * time constant with a slower body of any share behind them. */
static void asymptote_average(const warm_rows *of, asymptote *result)
{
    averaging run = begin(of);
    add_all(&run);
    double steady_k = run.steady / run.weight;
    *result = (asymptote){
        .steady_k = run.origin_k + steady_k,
        .steady_sd_k = sqrt(fmax(run.steady_square / run.weight - steady_k * steady_k, 0)),
        .rise_k = run.rise / run.weight,
        .slow_share = run.share / run.weight,
        .beginning = run.beginning / run.weight,
        .misfit = run.least_misfit,
    };
    find_further(&run, result);
}

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
