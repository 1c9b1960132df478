/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Propagation of a normal and a log-normal uncertainty by quadrature: quantiles, tail and mean of
 * the share of life used. */
#include "life/life_uncertainty.h"

#include <math.h>

#include <gsl/gsl_math.h>

#define ROOT_STEPS_MAX 200
#define ROOT_TOLERANCE 1e-10

/* The Illinois method: chords, with the weight of an end halved when it stays twice running.
 * M. Dowell and P. Jarratt, BIT 11 (1971) 168. */
double rising_root(curve rising, const void *context, double low, double high)
{
    double at_low = rising(low, context), at_high = rising(high, context);
    if (at_low >= 0)
        return low;
    if (at_high <= 0)
        return high;
    double tolerance = ROOT_TOLERANCE * (1 + fabs(low) + fabs(high));
    int moved = 0;
    for (int step = 0; step < ROOT_STEPS_MAX && high - low > tolerance; step++) {
        double at = low + (high - low) * at_low / (at_low - at_high);
        double value = rising(at, context);
        if (value == 0)
            return at;
        if (value < 0) {
            low = at;
            at_low = value;
            at_high = moved < 0 ? at_high / 2 : at_high;
        } else {
            high = at;
            at_high = value;
            at_low = moved > 0 ? at_low / 2 : at_low;
        }
        moved = value < 0 ? -1 : 1;
    }
    return (low + high) / 2;
}

/* Abscissas and weights for n = 16: M. Abramowitz and I. Stegun, Handbook of Mathematical
 * Functions, table 25.4. */
static const struct node {
    double place, weight;
} nodes[] = {
    {0.095012509837637441, 0.1894506104550685}, {0.28160355077925892, 0.18260341504492358},
    {0.45801677765722737, 0.16915651939500254}, {0.61787624440264377, 0.14959598881657674},
    {0.755404408355003, 0.12462897125553388},   {0.86563120238783176, 0.095158511682492786},
    {0.9445750230732326, 0.062253523938647894}, {0.98940093499164994, 0.027152459411754096},
};

double integral(curve smooth, const void *context, double low, double high)
{
    double middle = (low + high) / 2, half = (high - low) / 2, sum = 0;
    for (size_t i = 0; i < sizeof nodes / sizeof nodes[0]; i++) {
        double away = half * nodes[i].place;
        sum += nodes[i].weight * (smooth(middle - away, context) + smooth(middle + away, context));
    }
    return half * sum;
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

/* A doubt, and the level of ln used that is asked about. */
typedef struct level {
    const doubt *of;
    double log_share;
} level;

static double over_level(double sds, const void *context)
{
    const level *asked = context;
    return log_used_at(asked->of, sds) - asked->log_share;
}

/* Offset in sds at which the wear reaches a level, held within FAR_SD. */
static double sds_at(const doubt *of, double log_share)
{
    level asked = {of, log_share};
    return rising_root(over_level, &asked, -FAR_SD, FAR_SD);
}

static double tail_density(double sds, const void *context)
{
    const level *asked = context;
    double missing = asked->log_share - log_used_at(asked->of, sds);
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
    level asked = {of, log_share};
    double low = sds_at(of, asked.log_share - FAR_SD * of->rest_sd);
    double high = sds_at(of, asked.log_share + FAR_SD * of->rest_sd);
    return fmin(upper_tail(high) + integral_by_pieces(of, tail_density, &asked, low, high), 1);
}

double doubt_tail(const doubt *of, double share)
{
    return log_tail(of, log(share));
}

/* How far the chance of at most exp(log_share) lies over a tail. */
typedef struct aim {
    const doubt *of;
    double chance;
} aim;

static double over_chance(double log_share, const void *context)
{
    const aim *at = context;
    return 1 - log_tail(at->of, log_share) - at->chance;
}

static double log_used_both(const doubt *of, double sds)
{
    return log_used_at(of, sds) + sds * of->rest_sd;
}

static double quantile(const doubt *of, double chance, double low_sd, double high_sd)
{
    aim at = {of, chance};
    double log_share =
        rising_root(over_chance, &at, log_used_both(of, low_sd), log_used_both(of, high_sd));
    return wear_share_used(log_share);
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
#define REST_POINTS (4 * sizeof nodes / sizeof nodes[0])

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
        const struct node *at = &nodes[i / 4];
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

bool doubt_mostly_rise(const doubt *of)
{
    double heat = doubt_from_heat(of), air_share = of->worn->air_share;
    return heat * sqrt(1 - air_share) > hypot(of->rest_sd, heat * sqrt(air_share));
}
