/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From the temperature of each part to its verdict: the line that joins law, wear, doubt,
 * evidence, rules and reason. */
#include "life/decide.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "core/parallel.h"
#include "job/hours.h"
#include "life/expected_loss.h"
#include "life/life_uncertainty.h"
#include "life/probe.h"

/* Only cans from this size on get credit for a voltage below their rating; where the line lies
 * is our choice, makers give none to small ones. */
#define LARGE_CAN_MM 20.0
#define LARGE_CAN_V 160.0
/* A precise reading is sought up to so many standard deviations above the present estimate. */
#define SEARCH_SD 8.0

/* What all parts of a job share. */
typedef struct decision_context {
    const sf_job *job;
    history lived;
    meter with;
    const bool *can_read;     /* per part */
    sf_method usual;          /* of the readings */
    sf_grade_found grades[2]; /* what is made of an assumed endurance; by policy at first */
} decision_context;

static sf_status decision_context_start(decision_context *shared, const sf_job *job,
                                        const bool *can_read)
{
    *shared = (decision_context){.job = job, .can_read = can_read, .usual = usual_method(job)};
    history_start(&shared->lived, job);
    return meter_judge(job, &shared->with);
}

bool *cans_read(const sf_job *job)
{
    bool *read = array_new(job->part_count, sizeof *read);
    for (size_t i = 0; read && i < job->reading_count; i++) {
        size_t part = sf_reading_part(job, &job->readings[i]);
        if (part != SF_NO_PART)
            read[part] = true;
    }
    return read;
}

static void tell_endurance(const decision_context *shared, const sf_part *part,
                           sf_part_result *result)
{
    const sf_grade_found *grade = &shared->grades[part->rated_c >= 105];
    result->endurance_assumed = isnan(part->endurance_h);
    result->endurance_h =
        result->endurance_assumed ? grade->endurance_h * grade->factor : part->endurance_h;
    result->endurance_sd = result->endurance_assumed ? grade->sd : 0;
}

static double ripple_factor(const decision_context *shared, const sf_part *part)
{
    double ratio = part->ripple_a / part->rated_ripple_a;
    /* a can's own temperature already holds what the ripple heats it by */
    if (!isfinite(ratio) || shared->can_read[part - shared->job->parts])
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

static void tell_life(const decision_context *shared, const sf_part *part, sf_estimate rise_k,
                      sf_part_result *result)
{
    const sf_policy *policy = &shared->job->policy;
    result->temp_c = rise_k.value + shared->job->board.service_ambient_c + policy->cover_rise_k;
    result->temp_sd_k = rise_k.sd;
    result->board_c = result->board_sd_k = NAN;
    tell_endurance(shared, part, result);
    result->ripple_factor = ripple_factor(shared, part);
    result->voltage_factor = voltage_factor(part, policy);
    double life_h = sf_life_hours_by(sf_life_doubling_k(part->type), result->endurance_h,
                                     part->rated_c, result->temp_c, policy->life_floor_c);
    result->life_h = isnan(life_h) ? (double)NAN
                                   : fmin(life_h * result->ripple_factor * result->voltage_factor,
                                          policy->life_cap_h);
}

static wear part_wear(const decision_context *shared, const sf_part *part, double rise_k,
                      const sf_part_result *result)
{
    const sf_policy *policy = &shared->job->policy;
    return (wear){
        .lived = &shared->lived,
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
static double hours_left(const decision_context *shared, const sf_part *part, const wear *worn,
                         double used)
{
    const sf_policy *policy = &shared->job->policy;
    double temp_c = worn->rise_k + shared->job->board.service_ambient_c + worn->cover_rise_k;
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

static void tell_unknown_wear(sf_part_result *result)
{
    result->used = result->used_in_air = result->used_low = result->used_high = NAN;
    result->past_life = result->worn_out = NAN;
    result->left_h = result->left_years = NAN;
}

static void tell_wear(const decision_context *shared, const sf_part *part, const doubt *of,
                      sf_part_result *result)
{
    const sf_policy *policy = &shared->job->policy;
    if (of->worn->stressed_h > 0) {
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
    result->left_h = hours_left(shared, part, of->worn, result->used);
    result->left_years = years_left(shared->job, result);
}

/* What a precise reading would leave of the past-life probability, over the bound of a check. */
typedef struct clearing {
    wear worn;
    double case_sd_k, air_sd_k, rest_sd, bound;
} clearing;

static double over_bound(double rise_k, const void *context)
{
    const clearing *at = context;
    wear worn = at->worn;
    worn.rise_k = rise_k;
    doubt precise = doubt_make(&worn, at->case_sd_k, at->air_sd_k, at->rest_sd);
    return doubt_tail(&precise, 1) - at->bound;
}

/* Its can reads this at the bench where the part comes clear; no can is colder than its air. */
static double clear_below(const sf_job *job, const doubt *of)
{
    const sf_policy *policy = &job->policy;
    clearing at = {*of->worn, policy->case_offset_sd_k, job->board.service_ambient_sd_k,
                   of->rest_sd, policy->past_life_check};
    double most_k = of->worn->rise_k + SEARCH_SD * of->temp_sd_k;
    double rise_k = rising_root(over_bound, &at, 0, fmax(most_k, 0));
    return rise_k > 0 ? rise_k + job->board.ambient_c : (double)NAN;
}

rule_inputs part_rule_inputs(const sf_job *job, const sf_part *part, const evidence *found,
                             const sf_part_result *result)
{
    return (rule_inputs){
        .worn = evidence_worn(found),
        .critical = part->critical,
        .past_seal =
            result->age_years > job->policy.seal_years && !isnan(sf_life_doubling_k(part->type)),
        .doubtful_reading = evidence_doubtful(found),
        .doubt_mostly_heat = result->doubt_mostly_heat,
        .unread = result->trust.unread,
        .doubted = result->trust.doubted[0] != '\0',
        .hours_doubted = isnan(part->hours) && result->used_high * job_hours_doubted(job) >=
                                                   job->policy.used_middling * job_hours_told(job),
        .outlives = result->endurance_assumed && evidence_good(found, part),
        .no_law = isnan(sf_life_doubling_k(part->type)),
        .over_rated = result->temp_c > part->rated_c,
        .used = result->used,
        .past_life = result->past_life,
        .left_h = result->left_h,
        .goal_h = job->board.service_goal_h,
    };
}

bool sf_part_wants_meter(const sf_part_result *result)
{
    return result->settles < SF_SETTLES_LEAST;
}

/* What another reading would do for a part that is to be checked. */
static void tell_settling(const decision_context *shared, const sf_part *part, sf_estimate rise_k,
                          sf_part_result *result)
{
    const sf_job *job = shared->job;
    size_t index = (size_t)(part - job->parts);
    result->settles = NAN;
    result->settles_by = can_method(job, part, shared->usual);
    if (result->rule != SF_RULE_DOUBT && result->rule != SF_RULE_MEASURE)
        return;
    result->settles = 0;
    loss_model of = loss_make(job, &shared->lived, &shared->with, part, result);
    if (shared->can_read[index] || !of.open || !(rise_k.sd > 0))
        return;
    sf_observation seen =
        sf_reading_expect(job, result->settles_by, SF_SPOT_PART, index, rise_k.value);
    double own_k2 = rise_k.sd * rise_k.sd, told = own_k2 / (own_k2 + seen.sd_k * seen.sd_k);
    result->settles = loss_settles(&of, rise_k.value, rise_k.sd, told);
}

/* Fills the record of one part; an empty reason tells that memory was short. */
static sf_status decide_part(const decision_context *shared, const sf_part *part,
                             sf_estimate rise_k, sf_part_result *result)
{
    const sf_policy *policy = &shared->job->policy;
    run_time ran = part_run_time(shared->job, &shared->lived, part);
    tell_life(shared, part, rise_k, result);
    result->hours = ran.hours;
    result->age_years = part_age_years(&shared->job->board, part);
    result->clear_below_c = NAN;
    wear worn = part_wear(shared, part, rise_k.value, result);
    doubt of =
        doubt_make(&worn, hypot(rise_k.sd, policy->case_offset_sd_k),
                   shared->job->board.service_ambient_sd_k, hypot(ran.sd, result->endurance_sd));
    if (ran.source == HOURS_UNKNOWN || isnan(worn.doubling_k))
        tell_unknown_wear(result);
    else
        tell_wear(shared, part, &of, result);

    evidence found = evidence_gather(part, &shared->with, policy);
    rule_inputs asked = part_rule_inputs(shared->job, part, &found, result);
    result->reading_pct = found.reading_pct;
    result->worn_by_evidence = asked.worn;
    result->meter_good = evidence_good(&found, part);
    rules_apply(&asked, policy, result);
    if (result->rule == SF_RULE_DOUBT)
        result->clear_below_c = clear_below(shared->job, &of);
    tell_settling(shared, part, rise_k, result);

    part_context all = {shared->job, part,  &shared->lived, &shared->with,
                        ran,         found, asked,          result};
    result->reason = reason_write(&all);
    return result->reason ? SF_OK : SF_ERROR_MEMORY;
}

/* The parts of a job know nothing of one another. */
typedef struct decision {
    decision_context shared;
    const sf_estimate *rises_k;
    const sf_trust *trusts; /* NULL: all { 0 } */
    sf_part_result *results;
} decision;

static sf_status decide_parts(void *context, size_t from, size_t to)
{
    const decision *of = context;
    sf_status status = SF_OK;
    for (size_t i = from; i < to && status == SF_OK; i++) {
        of->results[i].trust = of->trusts ? of->trusts[i] : (sf_trust){0};
        status =
            decide_part(&of->shared, &of->shared.job->parts[i], of->rises_k[i], &of->results[i]);
    }
    return status;
}

/* Where the policy asks for it, once more with what the meter made of assumed endurances. */
static sf_status decide_all(const sf_job *job, const bool *can_read, decision *of)
{
    sf_status status = decision_context_start(&of->shared, job, can_read);
    sf_grades_measured(job, of->results, of->shared.grades); /* none is made yet: by policy alone */
    if (status == SF_OK)
        status = parallel_in_chunks(decide_parts, of, job->part_count);
    if (status != SF_OK || !(job->policy.endurance_by_meter >= 0.5))
        return status;
    sf_grades_measured(job, of->results, of->shared.grades);
    for (size_t i = 0; i < job->part_count; i++) {
        free(of->results[i].reason);
        of->results[i] = (sf_part_result){0};
    }
    return parallel_in_chunks(decide_parts, of, job->part_count);
}

sf_status parts_decide(const sf_job *job, const sf_estimate *rises_k, const bool *can_read,
                       const sf_trust *trusts, sf_part_result **results)
{
    *results = NULL;
    for (size_t i = 0; i < job->part_count; i++)
        if (!isfinite(rises_k[i].value) || !isfinite(rises_k[i].sd) || rises_k[i].sd < 0)
            return SF_ERROR_ARGUMENT;
    decision of = {.rises_k = rises_k, .trusts = trusts};
    of.results = array_new(job->part_count, sizeof *of.results);
    if (!of.results)
        return SF_ERROR_MEMORY;
    sf_status status = decide_all(job, can_read, &of);
    if (status == SF_OK)
        *results = of.results;
    else
        sf_part_results_free(of.results, job->part_count);
    return status;
}

sf_status sf_parts_decide_trusting(const sf_job *job, const sf_estimate *rises_k,
                                   const sf_trust *trusts, sf_part_result **results)
{
    *results = NULL;
    bool *can_read = cans_read(job);
    sf_status status =
        can_read ? parts_decide(job, rises_k, can_read, trusts, results) : SF_ERROR_MEMORY;
    free(can_read);
    return status;
}

sf_status sf_parts_decide(const sf_job *job, const sf_estimate *rises_k, sf_part_result **results)
{
    return sf_parts_decide_trusting(job, rises_k, NULL, results);
}

void sf_part_results_free(sf_part_result *results, size_t count)
{
    for (size_t i = 0; results && i < count; i++)
        free(results[i].reason);
    free(results);
}
