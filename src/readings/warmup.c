/* Warm-up series: the steady temperature from readings taken on the way there. */
#include "readings/warmup.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_fit.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_multifit_nlinear.h>

#include "core/memory.h"
#include "spotfield/reading.h"

/* Time constants are in spans of the series. Below the least, only the first reading would show
 * the rise; above the longest, the readings bend too little for an asymptote to be believed:
 * of three readings the second step is more than 0.78 of the first. */
#define CONSTANT_LEAST 0.02
#define CONSTANT_LONGEST 2.0
#define CONSTANT_MOST 50.0
#define CONSTANTS_TRIED 60

#define STEPS_MAX 200
#define TOLERANCE 1e-13
#define RANK_TOLERANCE 1e-10 /* a column this small is a parameter the readings do not hold */

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
    double square_sum;     /* of the residuals, K2 */
    double steady_sd_gain; /* standard error of the asymptote for readings of unit sd */
} fit;

static double span_min(const series *of)
{
    return of->minute[of->count - 1] - of->minute[0];
}

static double span_share(const series *of, double minute)
{
    return (minute - of->minute[0]) / span_min(of);
}

/* T(s) = steady + (start - steady) exp(-s/tau) + drift s, s in spans */
static double model_at(const double *parameter, double share)
{
    return parameter[STEADY] +
           parameter[START_LESS_STEADY] * exp(-share * exp(-parameter[LOG_CONSTANT])) +
           parameter[DRIFT] * share;
}

static void read_parameters(const gsl_vector *from, double *parameter)
{
    parameter[DRIFT] = 0;
    for (size_t i = 0; i < from->size; i++)
        parameter[i] = gsl_vector_get(from, i);
}

static int fill_residuals(const gsl_vector *at, void *data, gsl_vector *residuals)
{
    const series *of = data;
    double parameter[PARAMETERS_MAX];
    read_parameters(at, parameter);
    for (size_t i = 0; i < of->count; i++)
        gsl_vector_set(residuals, i,
                       model_at(parameter, span_share(of, of->minute[i])) - of->temp_k[i]);
    return GSL_SUCCESS;
}

static int fill_slopes(const gsl_vector *at, void *data, gsl_matrix *slopes)
{
    const series *of = data;
    double parameter[PARAMETERS_MAX];
    read_parameters(at, parameter);
    for (size_t i = 0; i < of->count; i++) {
        double share = span_share(of, of->minute[i]);
        double constants_passed = share * exp(-parameter[LOG_CONSTANT]);
        double left = exp(-constants_passed);
        gsl_matrix_set(slopes, i, STEADY, 1);
        gsl_matrix_set(slopes, i, START_LESS_STEADY, left);
        gsl_matrix_set(slopes, i, LOG_CONSTANT,
                       parameter[START_LESS_STEADY] * left * constants_passed);
        if (of->parameters > DRIFT)
            gsl_matrix_set(slopes, i, DRIFT, share);
    }
    return GSL_SUCCESS;
}

/* For a held time constant the rest is a straight line in exp(-s/tau): the best of a row of
 * constants is the start, so that the search cannot end in a far valley. */
static sf_status find_start(const series *of, double *parameter)
{
    double *left = array_new(of->count, sizeof *left);
    if (!left)
        return SF_ERROR_MEMORY;
    double least = INFINITY;
    for (int tried = 0; tried < CONSTANTS_TRIED; tried++) {
        double share = tried / (CONSTANTS_TRIED - 1.0);
        double constant = CONSTANT_LEAST * pow(CONSTANT_MOST / CONSTANT_LEAST, share);
        for (size_t i = 0; i < of->count; i++)
            left[i] = exp(-span_share(of, of->minute[i]) / constant);
        double steady, slope, cov00, cov01, cov11, square_sum;
        int code = gsl_fit_linear(left, 1, of->temp_k, 1, of->count, &steady, &slope, &cov00,
                                  &cov01, &cov11, &square_sum);
        if (code != GSL_SUCCESS || !(square_sum < least))
            continue;
        least = square_sum;
        parameter[STEADY] = steady;
        parameter[START_LESS_STEADY] = slope;
        parameter[LOG_CONSTANT] = log(constant);
    }
    free(left);
    return isfinite(least) ? SF_OK : SF_ERROR_NUMERIC;
}

static sf_status take_results(gsl_multifit_nlinear_workspace *work, fit *result)
{
    size_t parameters = gsl_multifit_nlinear_position(work)->size;
    gsl_matrix *covariance = gsl_matrix_alloc(parameters, parameters);
    if (!covariance)
        return SF_ERROR_MEMORY;
    int code =
        gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(work), RANK_TOLERANCE, covariance);
    result->steady_sd_gain = sqrt(gsl_matrix_get(covariance, STEADY, STEADY));
    gsl_matrix_free(covariance);
    read_parameters(gsl_multifit_nlinear_position(work), result->parameter);
    const gsl_vector *residuals = gsl_multifit_nlinear_residual(work);
    result->square_sum = 0;
    for (size_t i = 0; i < residuals->size; i++)
        result->square_sum += gsl_vector_get(residuals, i) * gsl_vector_get(residuals, i);
    bool sound = code == GSL_SUCCESS && isfinite(result->square_sum);
    return sound ? SF_OK : SF_ERROR_NUMERIC;
}

/* Least squares by a trust region from result->parameter, which is replaced. A search that runs
 * out of steps is on its way to an endless time constant; the caller sees that in the result. */
static sf_status refine(const series *of, fit *result)
{
    gsl_multifit_nlinear_parameters options = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &options, of->count, of->parameters);
    if (!work)
        return SF_ERROR_MEMORY;
    series copy = *of;
    gsl_multifit_nlinear_fdf system = {.f = fill_residuals,
                                       .df = fill_slopes,
                                       .n = of->count,
                                       .p = of->parameters,
                                       .params = &copy};
    gsl_vector_const_view start = gsl_vector_const_view_array(result->parameter, of->parameters);
    int why, code = gsl_multifit_nlinear_init(&start.vector, &system, work);
    if (code == GSL_SUCCESS)
        code =
            gsl_multifit_nlinear_driver(STEPS_MAX, TOLERANCE, TOLERANCE, 0, NULL, NULL, &why, work);
    sf_status status = SF_ERROR_NUMERIC;
    if (code == GSL_SUCCESS || code == GSL_EMAXITER || code == GSL_ENOPROG)
        status = take_results(work, result);
    gsl_multifit_nlinear_free(work);
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
    fit wider = *single;
    sf_status status = refine(&with_drift, &wider);
    if (status != SF_OK)
        return status == SF_ERROR_MEMORY ? status : SF_OK;
    double later = 1 + STEADY_OVER_MIN / span_min(of);
    double apart_k = model_at(wider.parameter, later) - model_at(single->parameter, later);
    double freedom = (double)(of->count - PARAMETERS_MAX);
    double gained = single->square_sum - wider.square_sum;
    bool matters = fabs(apart_k) >= STEADY_WITHIN_K && gained > 0;
    *drifting =
        matters && gsl_cdf_fdist_Q(gained * freedom / wider.square_sum, 1, freedom) < DRIFT_CHANCE;
    return SF_OK;
}

static bool is_scattered(const series *of, const fit *single, double sd_k)
{
    size_t freedom = of->count - of->parameters;
    return freedom > 0 &&
           gsl_cdf_chisq_Q(single->square_sum / (sd_k * sd_k), (double)freedom) < SCATTER_CHANCE;
}

static sf_status judge_exponential(const series *of, double sd_k, warmup *result)
{
    fit single = {0};
    sf_status status = find_start(of, single.parameter);
    if (status == SF_OK)
        status = refine(of, &single);
    bool drifting = false;
    if (status == SF_OK)
        status = find_drift(of, &single, &drifting);
    if (status != SF_OK)
        return status;
    double steady_sd_k = sd_k * fmax(single.steady_sd_gain, 1 / sqrt((double)of->count));
    warmup_verdict verdict = WARMUP_FITTED;
    if (drifting)
        verdict = WARMUP_DRIFTING;
    else if (is_scattered(of, &single, sd_k))
        verdict = WARMUP_SCATTERED;
    else if (!(exp(single.parameter[LOG_CONSTANT]) <= CONSTANT_LONGEST))
        verdict = WARMUP_STRAIGHT;
    else if (!(steady_sd_k <= fabs(single.parameter[START_LESS_STEADY])))
        verdict = WARMUP_OPEN;
    *result = (warmup){verdict, single.parameter[STEADY], steady_sd_k, of->count};
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
    warmup level;
    if ((status == SF_ERROR_NUMERIC || (status == SF_OK && result->verdict != WARMUP_FITTED)) &&
        is_level(&of, sd_k, &level)) {
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
