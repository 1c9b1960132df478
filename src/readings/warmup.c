/* Warm-up series: the steady temperature from readings taken on the way there. */
#include "readings/warmup.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_fit.h>

#include "readings/least_squares.h"
#include "spotfield/reading.h"

/* Time constants are in spans of the series. Below the least, only the first reading would show
 * the rise; above the longest, the readings bend too little for an asymptote to be believed:
 * of three readings the second step is more than 0.78 of the first. */
#define CONSTANT_LEAST 0.02
#define CONSTANT_LONGEST 2.0
#define CONSTANT_MOST 50.0
#define CONSTANTS_TRIED 30

#define STEPS_MAX 100
#define STEP_SHARE_LEAST 1e-6

#define DRIFT_READINGS_MIN 6
/* Chances of refusing a true exponential. Refusing one costs a few more readings, believing two
 * constants to be one costs several kelvin unseen: so the first is not small. */
#define DRIFT_CHANCE 0.05
#define SCATTER_CHANCE 0.001

/* Order of the parameters; without drift the last one is absent. */
enum { STEADY, START_LESS_STEADY, LOG_CONSTANT, DRIFT, PARAMETERS_MAX };

typedef struct series {
    const double *minute, *temp_k;
    size_t count;
    size_t parameters;
} series;

typedef struct fit {
    double parameter[PARAMETERS_MAX];
    double square_sum_k2;  /* of the residuals */
    double steady_sd_gain; /* standard error of the asymptote for readings of unit sd */
} fit;

static double span_min(const series *of)
{
    return of->minute[of->count - 1] - of->minute[0];
}

static double span_share(const series *of, size_t i)
{
    return (of->minute[i] - of->minute[0]) / span_min(of);
}

/* T(s) = steady + (start - steady) exp(-s/tau) + drift s, s in spans from the first reading */
static double model_at(const double *parameter, double share)
{
    return parameter[STEADY] +
           parameter[START_LESS_STEADY] * exp(-share * exp(-parameter[LOG_CONSTANT])) +
           parameter[DRIFT] * share;
}

static double square_sum_k2(const series *of, const double *parameter)
{
    double sum_k2 = 0;
    for (size_t i = 0; i < of->count; i++) {
        double gap_k = of->temp_k[i] - model_at(parameter, span_share(of, i));
        sum_k2 += gap_k * gap_k;
    }
    return sum_k2;
}

/* Finds the Gauss-Newton step from `parameter`, left in `squares`. */
static sf_status find_step(const series *of, const double *parameter, least_squares *squares)
{
    for (size_t i = 0; i < of->count; i++) {
        double share = span_share(of, i);
        double constants_passed = share * exp(-parameter[LOG_CONSTANT]);
        double left = exp(-constants_passed);
        const double slopes[PARAMETERS_MAX] = {[STEADY] = 1,
                                               [START_LESS_STEADY] = left,
                                               [LOG_CONSTANT] = parameter[START_LESS_STEADY] *
                                                                left * constants_passed,
                                               [DRIFT] = share};
        least_squares_fill(squares, i, slopes, of->temp_k[i] - model_at(parameter, share));
    }
    return least_squares_solve(squares);
}

/* The squares are least at the best of a row of time constants. A step from no rise at all moves
 * what is linear and holds the constant, so it ends at the best curve of that constant. */
static sf_status find_start(const series *of, least_squares *squares, fit *found)
{
    found->square_sum_k2 = INFINITY;
    for (int tried = 0; tried < CONSTANTS_TRIED; tried++) {
        double share = tried / (CONSTANTS_TRIED - 1.0);
        double log_constant = log(CONSTANT_LEAST) + share * log(CONSTANT_MOST / CONSTANT_LEAST);
        double parameter[PARAMETERS_MAX] = {[LOG_CONSTANT] = log_constant};
        if (find_step(of, parameter, squares) != SF_OK)
            continue;
        for (size_t j = 0; j < of->parameters; j++)
            parameter[j] += least_squares_step(squares, j);
        double sum_k2 = square_sum_k2(of, parameter);
        if (sum_k2 < found->square_sum_k2) {
            found->square_sum_k2 = sum_k2;
            memcpy(found->parameter, parameter, sizeof parameter);
        }
    }
    return isfinite(found->square_sum_k2) ? SF_OK : SF_ERROR_NUMERIC;
}

/* Goes the step, or a half, a quarter ... of it, where that lowers the squares. */
static bool go_down(const series *of, const least_squares *squares, fit *at)
{
    for (double share = 1; share > STEP_SHARE_LEAST; share /= 2) {
        double moved[PARAMETERS_MAX] = {0};
        for (size_t j = 0; j < of->parameters; j++)
            moved[j] = at->parameter[j] + share * least_squares_step(squares, j);
        double sum_k2 = square_sum_k2(of, moved);
        if (sum_k2 < at->square_sum_k2) {
            at->square_sum_k2 = sum_k2;
            memcpy(at->parameter, moved, sizeof moved);
            return true;
        }
    }
    return false;
}

static sf_status fit_curve(const series *of, fit *result)
{
    least_squares squares;
    if (!least_squares_make(of->count, of->parameters, &squares))
        return SF_ERROR_MEMORY;
    sf_status status = find_start(of, &squares, result);
    bool lower = true;
    for (int taken = 0; status == SF_OK && lower && taken < STEPS_MAX; taken++) {
        status = find_step(of, result->parameter, &squares);
        if (status != SF_OK)
            break;
        result->steady_sd_gain = least_squares_error(&squares, STEADY);
        lower = go_down(of, &squares, result);
    }
    least_squares_free(&squares);
    return status;
}

/* Whether a drift beside the exponential explains significantly more (F test on one parameter;
 * it needs no stated uncertainty) and matters half an hour on. */
static sf_status find_drift(const series *of, const fit *single, bool *drifting)
{
    *drifting = false;
    if (of->count < DRIFT_READINGS_MIN)
        return SF_OK;
    series with_drift = *of;
    with_drift.parameters = PARAMETERS_MAX;
    fit wider = {0};
    sf_status status = fit_curve(&with_drift, &wider);
    if (status != SF_OK)
        return status == SF_ERROR_MEMORY ? status : SF_OK;
    double later = 1 + STEADY_OVER_MIN / span_min(of);
    double apart_k = model_at(wider.parameter, later) - model_at(single->parameter, later);
    double freedom = (double)(of->count - PARAMETERS_MAX);
    double gained = single->square_sum_k2 - wider.square_sum_k2;
    bool matters = fabs(apart_k) >= STEADY_WITHIN_K && gained > 0;
    *drifting = matters &&
                gsl_cdf_fdist_Q(gained * freedom / wider.square_sum_k2, 1, freedom) < DRIFT_CHANCE;
    return SF_OK;
}

static bool is_scattered(const series *of, const fit *single, double sd_k)
{
    size_t freedom = of->count - of->parameters;
    return freedom > 0 &&
           gsl_cdf_chisq_Q(single->square_sum_k2 / (sd_k * sd_k), (double)freedom) < SCATTER_CHANCE;
}

static sf_status judge_exponential(const series *of, double sd_k, warmup *result)
{
    fit single = {0};
    sf_status status = fit_curve(of, &single);
    bool drifting = false;
    if (status == SF_OK)
        status = find_drift(of, &single, &drifting);
    if (status != SF_OK)
        return status;
    double steady_sd_k = sd_k * fmax(single.steady_sd_gain, 1 / sqrt((double)of->count));
    double rise_k = fabs(single.parameter[START_LESS_STEADY]);
    warmup_verdict verdict = WARMUP_FITTED;
    if (drifting)
        verdict = WARMUP_DRIFTING;
    else if (is_scattered(of, &single, sd_k))
        verdict = WARMUP_SCATTERED;
    else if (!(exp(single.parameter[LOG_CONSTANT]) <= CONSTANT_LONGEST))
        verdict = WARMUP_STRAIGHT;
    else if (!(steady_sd_k <= rise_k))
        verdict = WARMUP_OPEN;
    *result = (warmup){verdict, single.parameter[STEADY], steady_sd_k, rise_k, of->count};
    return SF_OK;
}

/* The least number of last readings that cover half an hour; 0 where none do. */
static size_t count_last(const series *of)
{
    for (size_t last = 2; last <= of->count; last++)
        if (of->minute[of->count - 1] - of->minute[of->count - last] >= STEADY_OVER_MIN)
            return last;
    return 0;
}

/* Where the readings of the last half hour keep within 1 K, their mean is the steady temperature;
 * what their trend would still bring in another half hour is its doubt beside their noise. */
static bool is_level(const series *of, double sd_k, warmup *result)
{
    size_t last = count_last(of);
    if (last == 0)
        return false;
    const double *minute = of->minute + of->count - last, *temp_k = of->temp_k + of->count - last;
    double low_k = temp_k[0], high_k = temp_k[0], sum_k = 0;
    for (size_t i = 0; i < last; i++) {
        low_k = fmin(low_k, temp_k[i]);
        high_k = fmax(high_k, temp_k[i]);
        sum_k += temp_k[i];
    }
    double start, k_per_min, cov00, cov01, cov11, square_sum;
    gsl_fit_linear(minute, 1, temp_k, 1, last, &start, &k_per_min, &cov00, &cov01, &cov11,
                   &square_sum);
    result->verdict = WARMUP_LEVEL;
    result->steady_k = sum_k / (double)last;
    result->steady_sd_k = hypot(sd_k / sqrt((double)last), k_per_min * STEADY_OVER_MIN);
    result->rise_k = high_k - low_k;
    result->used = last;
    return high_k - low_k < STEADY_WITHIN_K;
}

static bool is_usable(const double *minute, const double *temp_k, size_t count, double sd_k)
{
    bool usable = count >= 3 && sd_k > 0 && isfinite(sd_k);
    for (size_t i = 0; usable && i < count; i++)
        usable =
            isfinite(minute[i]) && isfinite(temp_k[i]) && (i == 0 || minute[i] > minute[i - 1]);
    return usable;
}

sf_status warmup_judge(const double *minute, const double *temp_k, size_t count, double sd_k,
                       warmup *result)
{
    if (!is_usable(minute, temp_k, count, sd_k))
        return SF_ERROR_ARGUMENT;
    series of = {minute, temp_k, count, DRIFT};
    sf_status status = judge_exponential(&of, sd_k, result);
    /* a curve through less than 1 K is drawn by the noise */
    bool is_curve =
        status == SF_OK && result->verdict == WARMUP_FITTED && result->rise_k >= STEADY_WITHIN_K;
    warmup level;
    if (status != SF_ERROR_MEMORY && !is_curve && is_level(&of, sd_k, &level)) {
        *result = level;
        status = SF_OK;
    }
    return status;
}

sf_status sf_warmup_fit(const double *minute, const double *temp_c, size_t count, double sd_k,
                        double *steady_c, double *steady_sd_k)
{
    warmup result;
    sf_status status = warmup_judge(minute, temp_c, count, sd_k, &result);
    if (status != SF_OK)
        return status;
    if (result.verdict != WARMUP_FITTED && result.verdict != WARMUP_LEVEL)
        return SF_ERROR_NUMERIC;
    *steady_c = result.steady_k;
    *steady_sd_k = result.steady_sd_k;
    return SF_OK;
}
