/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Linear accumulation of damage (Palmgren, Miner): the share of life that hours have used, and its
 * quantiles, tail and mean by quadrature over a normal and a log-normal uncertainty. */
#include "life/wear.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <math.h>

#include "core/curve.h"
#include "job/hours.h"

void history_start(history *lived, const sf_job *job)
{
    *lived = (history){.whole = {1, job->board.service_ambient_c, 1, NULL}};
    lived->total_h = job_periods_h(job);
    lived->told = lived->total_h > 0;
    lived->periods = lived->told ? job->periods : &lived->whole;
    lived->count = lived->told ? job->period_count : 1;
    if (!lived->told)
        lived->total_h = lived->whole.hours;
}

/* What an offset of 1 K at load 1 comes to in a period: the rise's part of it goes with the load,
 * the air's does not. */
static double sway(const wear *worn, const sf_period *period)
{
    double load = period->load;
    return sqrt(load * load * (1 - worn->air_share) + worn->air_share);
}

static double period_temp(const wear *worn, const sf_period *period)
{
    return worn->rise_k * period->load + period->service_ambient_c + worn->cover_rise_k;
}

static double acting_temp(const wear *worn, const sf_period *period, double offset_k)
{
    double temp_c = period_temp(worn, period) + offset_k * sway(worn, period);
    return temp_c > worn->floor_c ? temp_c : worn->floor_c;
}

/* All hours as so many at the hottest, over their sum. */
static double hottest_share(const wear *worn, double offset_k, double hottest_c)
{
    const history *lived = worn->lived;
    double sum_h = 0;
    if (lived->count == 1)
        return 1;
    for (size_t i = 0; i < lived->count; i++) {
        double under_k = hottest_c - acting_temp(worn, &lived->periods[i], offset_k);
        sum_h += lived->periods[i].hours * exp2(fmin(-under_k / worn->doubling_k, 0));
    }
    return sum_h / lived->total_h;
}

/* The hottest period is taken out of the sum, so that no temperature overflows it. */
double wear_log_used(const wear *worn, double offset_k)
{
    double hottest_c = worn->floor_c;
    for (size_t i = 0; i < worn->lived->count; i++)
        if (worn->lived->periods[i].hours > 0)
            hottest_c = fmax(hottest_c, acting_temp(worn, &worn->lived->periods[i], offset_k));
    return log(worn->stressed_h / worn->life_rated_h) +
           log(hottest_share(worn, offset_k, hottest_c)) +
           (hottest_c - worn->rated_c) * M_LN2 / worn->doubling_k;
}

double wear_share_used(double log_used)
{
    return exp(fmin(log_used, log(SF_USED_MAX)));
}

double wear_next_corner(const wear *worn, double offset_k)
{
    double next_k = INFINITY;
    for (size_t i = 0; i < worn->lived->count; i++) {
        const sf_period *period = &worn->lived->periods[i];
        double corner_k = (worn->floor_c - period_temp(worn, period)) / sway(worn, period);
        if (corner_k > offset_k && corner_k < next_k) /* never where nothing sways it */
            next_k = corner_k;
    }
    return next_k;
}

/* --- the share used --- */

/* Beyond so many standard deviations a normal tail is below 1e-15. */
#define FAR_SD 8.0
/* A quantile of 5 % of the whole lies between these multiples of both doubts: beyond the first,
 * each has a tail of 2.5 %; at the second, the product of both tails is 5 %. */
#define OUTER_SD 1.959963985
#define INNER_SD 0.760345854
#define INTERVAL_TAIL 0.05
/* Panels that a stretch without corners is cut into; the tests hold a tail to 1e-7,
 * or 1e-4 where corners crowd. */
#define PANELS 3
/* A corner so close ahead is the one just cut at, and a stretch so short holds nothing. */
#define NEARBY_SD 1e-9

doubt doubt_make(wear *worn, double rise_sd_k, double air_sd_k, double rest_sd)
{
    double temp_sd_k = hypot(rise_sd_k, air_sd_k), air_part = air_sd_k / temp_sd_k;
    worn->air_share = temp_sd_k > 0 ? air_part * air_part : 0;
    return (doubt){worn, temp_sd_k, rest_sd};
}

static double upper_tail(double sds)
{
    return erfc(sds / M_SQRT2) / 2;
}

static double density(double sds)
{
    return exp(-sds * sds / 2) / (M_SQRT2 * M_SQRTPI);
}

static double log_used_at(const doubt *of, double sds)
{
    return wear_log_used(of->worn, sds * of->temp_sd_k);
}

/* A doubt, and what is asked of it: a level of ln used, or a normal score. */
typedef struct question {
    const doubt *of;
    double at;
} question;

static double over_level(double sds, const void *context)
{
    const question *asked = context;
    return log_used_at(asked->of, sds) - asked->at;
}

/* Offset in sds at which the wear reaches a level, held within FAR_SD. */
static double sds_at(const doubt *of, double log_share)
{
    question asked = {of, log_share};
    return rising_root(over_level, &asked, -FAR_SD, FAR_SD);
}

static double tail_density(double sds, const void *context)
{
    const question *asked = context;
    double missing = asked->at - log_used_at(asked->of, sds);
    return density(sds) * upper_tail(missing / asked->of->rest_sd);
}

/* Integral over offsets in sds, which may round to a little above a whole; cut at the corners of
 * the wear so that each piece is smooth. With many periods each corner is slight, and those that
 * crowd are passed over. */
static double integral_by_pieces(const doubt *of, curve smooth, const void *context, double low,
                                 double high)
{
    double step = (high - low) / PANELS, sum = 0;
    double least = of->worn->lived->count > PANELS ? step / PANELS : NEARBY_SD;
    double from = low;
    while (high - from > NEARBY_SD) {
        double corner_k = wear_next_corner(of->worn, (from + least) * of->temp_sd_k);
        double to = fmin(fmin(from + step, high), corner_k / of->temp_sd_k);
        sum += integral(smooth, context, from, to);
        from = to;
    }
    return sum;
}

/* Offsets that leave used below the share whatever the rest count nothing, those that carry it
 * above count whole, and only between them is there something to integrate. */
static double log_tail(const doubt *of, double log_share)
{
    question asked = {of, log_share};
    double low = sds_at(of, log_share - FAR_SD * of->rest_sd);
    double high = sds_at(of, log_share + FAR_SD * of->rest_sd);
    return fmin(upper_tail(high) + integral_by_pieces(of, tail_density, &asked, low, high), 1);
}

double doubt_tail(const doubt *of, double share)
{
    return log_tail(of, log(share));
}

double normal_score(double chance)
{
    return fmin(fmax(gsl_cdf_ugaussian_Pinv(chance), -FAR_SD), FAR_SD);
}

/* How far the chance of more than exp(log_share) lies under a tail, as a normal score. */
static double over_chance(double log_share, const void *context)
{
    const question *asked = context;
    return asked->at - normal_score(log_tail(asked->of, log_share));
}

static double quantile(const doubt *of, double chance, double low_sd, double high_sd)
{
    question score = {of, normal_score(1 - chance)};
    double low = log_used_at(of, low_sd) + low_sd * of->rest_sd;
    double high = log_used_at(of, high_sd) + high_sd * of->rest_sd;
    return wear_share_used(rising_root(over_chance, &score, low, high));
}

double doubt_low(const doubt *of)
{
    return quantile(of, INTERVAL_TAIL, -OUTER_SD, -INNER_SD);
}

double doubt_high(const doubt *of)
{
    return quantile(of, 1 - INTERVAL_TAIL, INNER_SD, OUTER_SD);
}

/* Of both halves, and both sides of each. */
#define REST_POINTS (4 * LEGENDRE_NODES)

/* What the mean worn share is taken over: offsets outside, the rest of the doubt inside, at places
 * that are the same for all offsets. */
typedef struct mixture {
    const doubt *of;
    double shape, log_sound;    /* ln of the share that is sound at the rated life */
    double weight[REST_POINTS]; /* of the rest of the doubt: its chance */
    double power[REST_POINTS];  /* and what it multiplies used^shape by */
} mixture;

static void set_rest(mixture *mixed)
{
    const double half = FAR_SD / 2;
    for (size_t i = 0; i < REST_POINTS; i++) {
        const curve_node *at = &legendre_nodes[i / 4];
        double sds = (i & 1 ? half : -half) + (i & 2 ? half : -half) * at->place;
        mixed->weight[i] = half * at->weight * density(sds);
        mixed->power[i] = exp(mixed->shape * sds * mixed->of->rest_sd);
    }
}

/* sf_wear_share at an offset, by the rest of the doubt. */
static double worn_by_offset(double sds, const void *context)
{
    const mixture *mixed = context;
    double sum = 0;
    double log_sound = mixed->log_sound * exp(mixed->shape * log_used_at(mixed->of, sds));
    if (mixed->of->rest_sd == 0)
        return density(sds) * -expm1(log_sound);
    for (size_t i = 0; i < REST_POINTS; i++)
        sum -= mixed->weight[i] * expm1(log_sound * mixed->power[i]);
    return density(sds) * sum;
}

double doubt_worn_share(const doubt *of, double shape, double at_rated)
{
    mixture mixed = {.of = of, .shape = shape, .log_sound = log1p(-at_rated)};
    set_rest(&mixed);
    return fmin(integral_by_pieces(of, worn_by_offset, &mixed, -FAR_SD, FAR_SD), 1);
}

double doubt_from_heat(const doubt *of)
{
    return (log_used_at(of, 1) - log_used_at(of, -1)) / 2;
}

/* Whether more of the doubt comes from the rise, which a reading tells, than from all else. */
static bool doubt_mostly_rise(const doubt *of)
{
    double heat = doubt_from_heat(of), air_share = of->worn->air_share;
    return heat * sqrt(1 - air_share) > hypot(of->rest_sd, heat * sqrt(air_share));
}

/* --- of one part --- */

wear part_wear(const sf_job *job, const history *lived, const sf_part *part, double rise_k,
               const sf_part_result *result)
{
    const sf_policy *policy = &job->policy;
    return (wear){
        .lived = lived,
        .stressed_h = result->hours * part->duty,
        .life_rated_h = result->endurance_h * result->ripple_factor * result->voltage_factor,
        .rated_c = part->rated_c,
        .floor_c = policy->life_floor_c,
        .rise_k = rise_k,
        .cover_rise_k = policy->cover_rise_k,
        .doubling_k = sf_life_doubling_k(part->type),
    };
}

/* Hours of the board until the rest of the life is gone, at today's temperature and duty. */
static double hours_left(const sf_job *job, const sf_part *part, const wear *worn, double used)
{
    const sf_policy *policy = &job->policy;
    double temp_c = worn->rise_k + job->board.service_ambient_c + worn->cover_rise_k;
    double life_h = sf_life_hours_by(worn->doubling_k, worn->life_rated_h, worn->rated_c, temp_c,
                                     worn->floor_c);
    double rest_h = fmax(1 - used, 0) * life_h;
    return rest_h < policy->life_cap_h * part->duty ? rest_h / part->duty : policy->life_cap_h;
}

/* At today's use, and no longer than its seals are within their guidance: they age while it idles
 * too. */
static double years_left(const sf_job *job, const sf_part_result *result)
{
    double hours_per_year = job->board.hours_per_year;
    double sealed_years = fmax(job->policy.seal_years - result->age_years, 0);
    if (!(hours_per_year > 0))
        return NAN;
    return isnan(result->age_years) ? result->left_h / hours_per_year
                                    : fmin(result->left_h / hours_per_year, sealed_years);
}

static void tell_used(const sf_policy *policy, const doubt *of, sf_part_result *result)
{
    wear in_air = *of->worn;
    in_air.rise_k = fmin(in_air.rise_k, 0);
    result->used = wear_share_used(wear_log_used(of->worn, 0));
    result->used_in_air = wear_share_used(wear_log_used(&in_air, 0));
    result->used_low = doubt_low(of);
    /* where warmer is no worse both roots lie on one level and round apart */
    result->used_high = fmax(doubt_high(of), result->used_low);
    result->past_life = doubt_tail(of, 1);
    result->worn_out = doubt_worn_share(of, policy->wear_shape, policy->wear_at_rated);
    result->doubt_mostly_heat = doubt_mostly_rise(of);
}

run_time wear_tell(const sf_job *job, const history *lived, const sf_part *part, sf_estimate rise_k,
                   sf_part_result *result)
{
    run_time ran = part_run_time(job, part);
    result->hours = ran.hours;
    result->age_years = part_age_years(&job->board, part);
    wear worn = part_wear(job, lived, part, rise_k.value, result);
    doubt of = doubt_make(&worn, hypot(rise_k.sd, job->policy.case_offset_sd_k),
                          job->board.service_ambient_sd_k, hypot(ran.sd, result->endurance_sd));
    if (isnan(ran.hours) || isnan(worn.doubling_k)) {
        result->used = result->used_in_air = result->used_low = result->used_high = NAN;
        result->past_life = result->worn_out = NAN;
        result->left_h = result->left_years = NAN;
        return ran;
    }
    if (worn.stressed_h > 0)
        tell_used(&job->policy, &of, result);
    result->left_h = hours_left(job, part, &worn, result->used);
    result->left_years = years_left(job, result);
    return ran;
}
