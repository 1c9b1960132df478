/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The law of life: hours at a temperature (the 10-kelvin rule of makers),
 * the factors of ripple and voltage, and the spread between parts. Everything else of the room
 * rests on these four formulas. Then what they make of one part, and of its endurance where that
 * is only assumed. */
#include "spotfield/life.h"

#include <math.h>

#include "life/decide.h"
#include "spotfield/reading.h"

/* Only cans from this size on get credit for a voltage below their rating; where the line lies
 * is our choice, makers give none to small ones. */
#define LARGE_CAN_MM 20.0
#define LARGE_CAN_V 160.0
#define TEN_KELVIN 10.0
/* 20 K / log2(10): makers' technical notes give solid polymer ten times the life for 20 K less
 * (from memory, no page at hand). */
#define POLYMER_KELVIN 6.020599913279624

double sf_life_doubling_k(sf_part_type type)
{
    switch (type) {
    case SF_TYPE_POLYMER:
        return POLYMER_KELVIN;
    case SF_TYPE_TANTALUM:
    case SF_TYPE_FILM:
        return NAN;
    default:
        return TEN_KELVIN;
    }
}

/* Solid tantalum: "constantly decreasing failure rate (absence of any wear-out mechanism)", a
 * maker's data sheet of tantalum chips rated to MIL-PRF-55365, reliability section, which reckons
 * with MIL-HDBK-217F Notice 2 instead. Film: lives by voltage and moisture, of which the map knows
 * nothing (paper on polypropylene film in humid air, 5th Passive Components Networking Symposium,
 * 2025). */
const char *sf_life_no_law_text(sf_part_type type)
{
    switch (type) {
    case SF_TYPE_TANTALUM:
        return "tantalum does not wear out from heat; it fails from voltage and surges";
    case SF_TYPE_FILM:
        return "film wears from voltage and moisture, not from heat alone";
    default:
        return "";
    }
}

double sf_life_hours_by(double doubling_k, double endurance_h, double rated_c, double temp_c,
                        double floor_c)
{
    /* not fmax: it would turn an unknown temperature into the floor */
    double acting_c = temp_c < floor_c ? floor_c : temp_c;
    if (isnan(floor_c))
        return NAN;
    return endurance_h * exp2((rated_c - acting_c) / doubling_k);
}

double sf_life_hours(double endurance_h, double rated_c, double temp_c, double floor_c)
{
    return sf_life_hours_by(TEN_KELVIN, endurance_h, rated_c, temp_c, floor_c);
}

double sf_life_ripple_factor(double ripple_ratio, double rated_c)
{
    bool high_grade = rated_c >= 105;
    double rated_core_rise_k = sf_rated_core_rise_k(rated_c);
    double base = high_grade && ripple_ratio > 1 ? 4 : 2;
    return pow(base, (1 - ripple_ratio * ripple_ratio) * rated_core_rise_k / 10);
}

double sf_life_voltage_factor(double voltage_ratio, double exponent)
{
    if (isnan(voltage_ratio))
        return NAN;
    return pow(fmin(fmax(voltage_ratio, 0.6), 1), -exponent);
}

double sf_wear_share(double used, double shape, double at_rated)
{
    if (used <= 0)
        return 0;
    /* eta^-shape = -ln(1 - at_rated), so that F(1) = at_rated */
    return -expm1(log1p(-at_rated) * pow(used, shape));
}

/* --- of one part --- */

static void tell_endurance(const sf_part *part, const sf_grade_found *grade, sf_part_result *result)
{
    result->endurance_assumed = isnan(part->endurance_h);
    result->endurance_h =
        result->endurance_assumed ? grade->endurance_h * grade->factor : part->endurance_h;
    result->endurance_sd = result->endurance_assumed ? grade->sd : 0;
}

static double ripple_factor(const sf_part *part, bool can_read)
{
    double ratio = part->ripple_a / part->rated_ripple_a;
    /* a can's own temperature already holds what the ripple heats it by */
    if (!isfinite(ratio) || can_read)
        return 1;
    double factor = sf_life_ripple_factor(ratio, part->rated_c);
    /* less ripple than rated earns life only where the endurance was reached under the rated one */
    bool earns = part->endurance_with_ripple && !isnan(part->endurance_h);
    return earns ? factor : fmin(factor, 1);
}

static double voltage_factor(const sf_part *part, const sf_policy *policy)
{
    bool large = part->diameter_mm >= LARGE_CAN_MM && part->rated_v >= LARGE_CAN_V;
    if (!large || isnan(part->working_v))
        return 1;
    return sf_life_voltage_factor(part->working_v / part->rated_v, policy->voltage_exponent);
}

void life_tell(const sf_job *job, const sf_part *part, const sf_grade_found *grade, bool can_read,
               sf_estimate rise_k, sf_part_result *result)
{
    const sf_policy *policy = &job->policy;
    result->temp_c = rise_k.value + job->board.service_ambient_c + policy->cover_rise_k;
    result->temp_sd_k = rise_k.sd;
    result->board_c = result->board_sd_k = NAN;
    tell_endurance(part, grade, result);
    result->ripple_factor = ripple_factor(part, can_read);
    result->voltage_factor = voltage_factor(part, policy);
    double life_h = sf_life_hours_by(sf_life_doubling_k(part->type), result->endurance_h,
                                     part->rated_c, result->temp_c, policy->life_floor_c);
    result->life_h = isnan(life_h) ? (double)NAN
                                   : fmin(life_h * result->ripple_factor * result->voltage_factor,
                                          policy->life_cap_h);
}

/* --- by Bayes's rule: what parts that were measured say of an assumed endurance --- */

/* The factor is sought between exp(-REACH) and exp(REACH), in so many steps; the prior's widest
 * policy has 2. */
#define REACH 6.0
enum { STEPS = 1200 };
#define TAIL 0.05

static double step_log(int step)
{
    return REACH * (2.0 * step / STEPS - 1);
}

/* Whether what was found of a part tells of its grade. */
static bool speaks(const sf_part *part, const sf_part_result *result, bool high_grade)
{
    bool wet = part->type == SF_TYPE_ALUMINIUM || part->type == SF_TYPE_BIPOLAR;
    return wet && result->endurance_assumed && result->used > 0 &&
           (part->rated_c >= 105) == high_grade && (result->meter_good || result->worn_by_evidence);
}

/* Adds ln of the chance of what was found, at each factor that the endurance may be off by. */
static void weigh(double *log_weights, const sf_policy *policy, double used, bool worn)
{
    for (int step = 0; step <= STEPS; step++) {
        double share = used / exp(step_log(step));
        double worn_share = sf_wear_share(share, policy->wear_shape, policy->wear_at_rated);
        /* ln(1 - F) without the loss of digits where nearly all are worn */
        double log_good = log1p(-policy->wear_at_rated) * pow(share, policy->wear_shape);
        log_weights[step] += worn ? log(worn_share) : log_good;
    }
}

/* Turns ln weights into weights that sum to 1. */
static void normalize(double *weights)
{
    double most = -INFINITY, sum = 0;
    for (int step = 0; step <= STEPS; step++)
        most = fmax(most, weights[step]);
    for (int step = 0; step <= STEPS; step++)
        sum += weights[step] = exp(weights[step] - most);
    for (int step = 0; step <= STEPS; step++)
        weights[step] /= sum;
}

/* The factor below which so much of the weight lies. */
static double quantile(const double *weights, double chance)
{
    double below = 0;
    for (int step = 0; step < STEPS; step++) {
        if (below + weights[step] >= chance) {
            double inside = (chance - below) / weights[step] - 0.5;
            return exp(step_log(step) + inside * 2 * REACH / STEPS);
        }
        below += weights[step];
    }
    return exp(REACH);
}

static double log_sd(const double *weights)
{
    double mean = 0, square = 0;
    for (int step = 0; step <= STEPS; step++) {
        mean += weights[step] * step_log(step);
        square += weights[step] * step_log(step) * step_log(step);
    }
    return sqrt(fmax(square - mean * mean, 0));
}

static sf_grade_found measure(const sf_job *job, const sf_part_result *results, bool high_grade)
{
    const sf_policy *policy = &job->policy;
    sf_grade_found found = {.high_grade = high_grade, .factor = 1, .sd = policy->endurance_sd};
    found.endurance_h = high_grade ? policy->endurance_105_h : policy->endurance_85_h;
    double weights[STEPS + 1];
    for (int step = 0; step <= STEPS; step++)
        weights[step] = -0.5 * pow(step_log(step) / fmax(policy->endurance_sd, 1e-3), 2);
    for (size_t i = 0; i < job->part_count; i++) {
        if (!speaks(&job->parts[i], &results[i], high_grade))
            continue;
        double used = results[i].used * results[i].endurance_h / found.endurance_h;
        weigh(weights, policy, used, results[i].worn_by_evidence);
        found.worn += results[i].worn_by_evidence;
        found.good += !results[i].worn_by_evidence;
    }
    normalize(weights);
    found.factor_low = quantile(weights, TAIL);
    found.factor_high = quantile(weights, 1 - TAIL);
    if (found.good + found.worn > 0) {
        found.factor = quantile(weights, 0.5);
        found.sd = log_sd(weights);
    }
    return found;
}

void sf_grades_measured(const sf_job *job, const sf_part_result *results, sf_grade_found found[2])
{
    for (int grade = 0; grade < 2; grade++)
        found[grade] = measure(job, results, grade == 1);
}
