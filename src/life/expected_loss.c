/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Bayesian decision analysis: where the rules of the verdict switch along the rise, the expected
 * loss of the best verdict, and the same averaged over what a reading may show (preposterior
 * analysis: H. Raiffa, R. Schlaifer, Applied Statistical Decision Theory, 1961). */
#include "life/expected_loss.h"

#include <math.h>

#include <gsl/gsl_math.h>

#include "core/curve.h"
#include "life/probe.h"

#define RISE_LEAST_K (-100.0) /* so cold that heat wears nothing */
#define RISE_MOST_K 300.0     /* no board survives */
#define SURE 0.999            /* from which more knowledge of heat changes nothing */
#define QUARTILE_SD 0.6744897501960817
#define THRESHOLD_LEAST 1e-3 /* of the policy's probabilities: at 0 or 1 a verdict has no price */
#define WIDTH_LEAST_K 1e-3
#define MEAN_SD 5.0    /* of the mean to come */
#define MEAN_STEPS 100 /* across both sides of it */

static double lower_tail(double sds)
{
    return erfc(-sds / M_SQRT2) / 2;
}

static double held(double threshold)
{
    return fmin(fmax(threshold, THRESHOLD_LEAST), 1 - THRESHOLD_LEAST);
}

verdict_costs costs_of(const sf_policy *policy, bool critical)
{
    double check_from = held(policy->past_life_check);
    double replace_from = held(policy->past_life_replace);
    double critical_from = held(policy->past_life_critical);
    double check = check_from; /* times 1, a part left in place: where leaving costs the same */
    double needless = check / (1 - replace_from);
    verdict_costs costs = {.left_past = 1,
                           .left_unmeasured = 2 * check, /* even odds ask for the meter */
                           .checked = check,
                           .checked_past = check,
                           .needless = needless};
    if (critical) {
        double at_switch = needless * (1 - critical_from);
        costs.left_past = at_switch / critical_from;
        costs.checked_past = fmax(at_switch - check * (1 - critical_from), 0) / critical_from;
    }
    return costs;
}

/* A part whose doubts but that of the field are set. */
typedef struct lifetime {
    wear worn;
    double case_sd_k, air_sd_k, rest_sd;
    double level;         /* of past_life that is sought */
    double goal_h;        /* of board hours; NAN none */
    double seal_share;    /* share used from which its old seal asks for a meter; INFINITY none */
    double service_air_c; /* cover included */
    double duty;
} lifetime;

static double past_at(const lifetime *of, double rise_k)
{
    wear worn = of->worn;
    worn.rise_k = rise_k;
    doubt precise = doubt_make(&worn, of->case_sd_k, of->air_sd_k, of->rest_sd);
    return doubt_tail(&precise, 1);
}

static double over_level(double rise_k, const void *context)
{
    const lifetime *of = context;
    return normal_score(past_at(of, rise_k)) - normal_score(of->level);
}

static double rise_at(const lifetime *of, double level)
{
    lifetime sought = *of;
    sought.level = level;
    return rising_root(over_level, &sought, RISE_LEAST_K, RISE_MOST_K);
}

/* Above zero where the board is to run on for longer than the part has left at this rise, or where
 * it has used what an old seal may. */
static double over_measure(double rise_k, const void *context)
{
    const lifetime *of = context;
    wear worn = of->worn;
    worn.rise_k = rise_k;
    double used = wear_share_used(wear_log_used(&worn, 0));
    double life_h = sf_life_hours_by(worn.doubling_k, worn.life_rated_h, worn.rated_c,
                                     rise_k + of->service_air_c, worn.floor_c);
    double at_goal = isnan(of->goal_h) ? 0 : used + of->goal_h * of->duty / life_h;
    return log(fmax(at_goal, used / of->seal_share));
}

static lifetime lifetime_of(const sf_job *job, const history *lived, const sf_part *part,
                            const sf_part_result *result)
{
    const sf_policy *policy = &job->policy;
    double ran_sd = part_run_time(job, part).sd;
    bool old_seal = result->age_years > policy->seal_years;
    return (lifetime){
        .worn = part_wear(job, lived, part, 0, result),
        .case_sd_k = policy->case_offset_sd_k,
        .air_sd_k = job->board.service_ambient_sd_k,
        .rest_sd = hypot(ran_sd, result->endurance_sd),
        .goal_h = job->board.service_goal_h,
        .seal_share = old_seal ? policy->used_middling : (double)INFINITY,
        .service_air_c = sf_service_air_c(job),
        .duty = part->duty,
    };
}

/* The step of past_life along the rise as a normal one: its middle, and its width from the
 * quartiles. Exact where one period is spent above the floor of the law. */
static void set_step(loss_model *of, const lifetime *life)
{
    of->never = past_at(life, RISE_LEAST_K);
    of->middle_k = rise_at(life, (1 + of->never) / 2);
    double low_k = rise_at(life, of->never + (1 - of->never) * 0.25);
    double high_k = rise_at(life, of->never + (1 - of->never) * 0.75);
    of->width_k = (high_k - low_k) / (2 * QUARTILE_SD);
}

loss_model loss_make(const sf_job *job, const history *lived, const meter *with,
                     const sf_part *part, const sf_part_result *result)
{
    const sf_policy *policy = &job->policy;
    lifetime life = lifetime_of(job, lived, part, result);
    evidence found = evidence_gather(part, with, policy);
    bool critical_old = part->critical && result->age_years > policy->seal_years;
    loss_model made = {.may_leave = !found.doubtful,
                       .check_from = policy->past_life_check,
                       .replace_from =
                           part->critical ? policy->past_life_critical : policy->past_life_replace,
                       .costs = costs_of(policy, part->critical)};
    if (found.worn || critical_old || !(life.worn.stressed_h > 0) || isnan(life.worn.doubling_k))
        return made;
    set_step(&made, &life);
    made.open = made.never < SURE && made.middle_k < RISE_MOST_K;
    bool beyond_cap = life.goal_h > policy->life_cap_h;
    made.measure_from_k = beyond_cap ? -(double)INFINITY
                                     : rising_root(over_measure, &life, RISE_LEAST_K, RISE_MOST_K);
    return made;
}

double loss_past(const loss_model *of, double rise_k, double sd_k)
{
    double width_k = fmax(hypot(sd_k, of->width_k), WIDTH_LEAST_K);
    return of->never + (1 - of->never) * lower_tail((rise_k - of->middle_k) / width_k);
}

double loss_measure(const loss_model *of, double rise_k, double sd_k)
{
    return lower_tail((rise_k - of->measure_from_k) / fmax(sd_k, WIDTH_LEAST_K));
}

double loss_expected(const loss_model *of, double rise_k, double sd_k)
{
    const verdict_costs *costs = &of->costs;
    double past = loss_past(of, rise_k, sd_k);
    double check = past * costs->checked_past + (1 - past) * costs->checked;
    double replace = (1 - past) * costs->needless;
    double least = fmin(check, replace);
    if (!of->may_leave)
        return least;
    double measure = loss_measure(of, rise_k, sd_k);
    return fmin(least, past * costs->left_past + measure * costs->left_unmeasured);
}

double loss_cost(const loss_model *of, double rise_k, double sd_k)
{
    double past = lower_tail((rise_k - of->middle_k) / fmax(sd_k, WIDTH_LEAST_K));
    return loss_expected(of, rise_k, sd_k) +
           (of->costs.left_past + of->costs.needless) / 2 * fmin(past, 1 - past);
}

/* 1 where what is known settles the part, else 0. */
static double is_settled(const loss_model *of, double rise_k, double sd_k)
{
    double past = loss_past(of, rise_k, sd_k);
    bool stays = of->may_leave && past < of->check_from && rise_k < of->measure_from_k;
    return stays || past >= of->replace_from;
}

/* The mean of a value over what is known once readings leave `share` of the variance: the mean to
 * come is normal about today's with the variance that is taken away. */
static double mean_to_come(double (*value)(const loss_model *of, double rise_k, double sd_k),
                           const loss_model *of, double rise_k, double sd_k, double share)
{
    double step = 2 * MEAN_SD / MEAN_STEPS, sum = 0, weights = 0;
    double moving_sd_k = sqrt(1 - share) * sd_k, left_sd_k = sqrt(share) * sd_k;
    for (int i = 0; i <= MEAN_STEPS; i++) {
        double sds = i * step - MEAN_SD, weight = exp(-sds * sds / 2);
        sum += weight * value(of, rise_k + sds * moving_sd_k, left_sd_k);
        weights += weight;
    }
    return sum / weights;
}

/* Chance that a reading which takes the share `told` of that variance settles the part: that it
 * then may be left or is to be replaced. */
static double loss_settles(const loss_model *of, double rise_k, double sd_k, double told)
{
    return mean_to_come(is_settled, of, rise_k, sd_k, 1 - told);
}

void loss_tabulate(const loss_model *of, double rise_k, double sd_k, double losses[LOSS_LEVELS])
{
    for (size_t level = 0; level < LOSS_LEVELS; level++) {
        double share = (double)level / (LOSS_LEVELS - 1);
        losses[level] = mean_to_come(loss_cost, of, rise_k, sd_k, share);
        if (level > 0) /* but for the quadrature this holds by itself */
            losses[level] = fmax(losses[level], losses[level - 1]);
    }
}

double loss_tabulated(const double losses[LOSS_LEVELS], double share)
{
    double at = fmin(fmax(share, 0), 1) * (LOSS_LEVELS - 1);
    size_t below = at < LOSS_LEVELS - 1 ? (size_t)at : LOSS_LEVELS - 2;
    return losses[below] + (at - (double)below) * (losses[below + 1] - losses[below]);
}

/* Its can reads this at the bench where the part comes clear; no can is colder than its air. */
static double clear_below_c(const sf_job *job, const lifetime *life)
{
    double rise_k = rise_at(life, job->policy.past_life_check);
    return rise_k > 0 ? rise_k + job->board.ambient_c : (double)NAN;
}

void loss_tell(const sf_job *job, const history *lived, const meter *with, const sf_part *part,
               bool can_read, sf_method usual, sf_estimate rise_k, sf_part_result *result)
{
    size_t index = (size_t)(part - job->parts);
    lifetime life = lifetime_of(job, lived, part, result);
    bool unsure = result->rule == SF_RULE_DOUBT;
    result->clear_below_c = unsure ? clear_below_c(job, &life) : (double)NAN;
    result->settles = unsure || result->rule == SF_RULE_MEASURE ? 0 : (double)NAN;
    result->settles_by = can_method(job, part, usual);
    if (isnan(result->settles) || can_read || !(rise_k.sd > 0))
        return;
    loss_model of = loss_make(job, lived, with, part, result);
    if (!of.open)
        return;
    sf_observation seen =
        sf_reading_expect(job, result->settles_by, SF_SPOT_PART, index, rise_k.value);
    double own_k2 = rise_k.sd * rise_k.sd, told = own_k2 / (own_k2 + seen.sd_k * seen.sd_k);
    result->settles = loss_settles(&of, rise_k.value, rise_k.sd, told);
}
