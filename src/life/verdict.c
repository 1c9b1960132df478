/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The ordered rules, what each asks and finds, and the words of the verdicts. */

#include <math.h>

#include "job/doubtful.h"
#include "job/hours.h"
#include "life/decide.h"

static const char *const verdict_texts[SF_VERDICT_COUNT] = {
    [SF_LEAVE] = "leave",
    [SF_CHECK] = "check",
    [SF_REPLACE] = "replace",
};

const char *sf_verdict_text(sf_verdict verdict)
{
    if ((int)verdict < 0 || verdict >= SF_VERDICT_COUNT)
        return "";
    return verdict_texts[verdict];
}

/* Why only capacitance and ESR can tell; NULL where that is not so. A comparison with NAN is false,
 * so that what is not known asks for nothing but through isnan. */
static const char *meter_needed(const rule_inputs *of, const sf_policy *policy)
{
    if (of->doubtful_reading)
        return "the meter's reading is in doubt";
    if (of->no_law)
        return of->over_rated ? "it runs hotter than its rating" : NULL;
    if (isnan(of->used))
        return "how much of its rated life is used is not known";
    if (of->past_life >= policy->past_life_check)
        return "past_life reaches its limit";
    if (of->left_h < of->goal_h)
        return "its rated life ends before the service goal";
    return of->past_seal && of->used >= policy->used_middling
               ? "its seal is old and much of its rated life is used"
               : NULL;
}

sf_rule rule_find(const rule_inputs *of, const sf_policy *policy)
{
    if (of->worn)
        return SF_RULE_EVIDENCE;
    bool perhaps_past = of->past_life >= policy->past_life_critical && !of->outlives;
    if (of->critical && (of->past_seal || perhaps_past))
        return SF_RULE_CRITICAL;
    /* a rule of thumb does not overrule the meter */
    if (of->past_life >= policy->past_life_replace && !of->outlives)
        return SF_RULE_PAST_LIFE;
    if (of->past_life >= policy->past_life_check && of->doubt_mostly_heat && !of->outlives)
        return SF_RULE_DOUBT;
    if (meter_needed(of, policy))
        return SF_RULE_MEASURE;
    if (of->no_law)
        return SF_RULE_LEAVE;
    if (of->unread)
        return SF_RULE_UNREAD;
    bool in_doubt = of->doubted || of->grade_doubted || of->hours_doubted || of->air_doubted;
    return in_doubt ? SF_RULE_DOUBTED : SF_RULE_LEAVE;
}

rule_inputs part_rule_inputs(const sf_job *job, const sf_part *part, const evidence *found,
                             const sf_part_result *result)
{
    double middling = job->policy.used_middling, doubling_k = sf_life_doubling_k(part->type);
    return (rule_inputs){
        .worn = found->worn,
        .critical = part->critical,
        .past_seal = result->age_years > job->policy.seal_years && !isnan(doubling_k),
        .doubtful_reading = found->doubtful,
        .doubt_mostly_heat = result->doubt_mostly_heat,
        .unread = result->trust.unread,
        .doubted = result->trust.doubted[0] != '\0',
        .grade_doubted = part_grade_doubted(part),
        .hours_doubted = isnan(part->hours) && result->used_high * job_hours_doubted(job) >=
                                                   middling * job_hours_told(job),
        .air_doubted = job_air_doubted_k(job) > 0 &&
                       result->used_high * exp2(job_air_doubted_k(job) / doubling_k) >= middling,
        .outlives = result->endurance_assumed && found->good,
        .no_law = isnan(doubling_k),
        .over_rated = result->temp_c > part->rated_c,
        .used = result->used,
        .past_life = result->past_life,
        .left_h = result->left_h,
        .goal_h = job->board.service_goal_h,
    };
}

/* --- what each rule asks and finds, and what it makes of a part --- */

static void find_worn(text *into, const part_context *of)
{
    text_add(into, of->found.damaged      ? sf_condition_text(of->part->condition)
                   : of->found.reads_low  ? "reads below its tolerance"
                   : of->found.esr_worn   ? "its ESR is worn"
                   : of->found.leaks_worn ? "it leaks current"
                                          : "neither says so");
}

/* "past_life 0.0312, limit 0.05", or that it is not known. */
static void add_past(text *into, const part_context *of, double from)
{
    if (isnan(of->result->past_life))
        text_add(into, "past_life is not known");
    else
        text_addf(into, "past_life %.4g, limit %.4g", of->result->past_life, from);
    if (of->asked.outlives)
        text_add(into, ", but capacitance and ESR are good and the endurance is only assumed");
}

static void find_critical(text *into, const part_context *of)
{
    text_add(into, of->part->critical ? "critical, " : "not critical, ");
    text_add(into, of->asked.past_seal ? "seals older than advised, "
                                       : "seals not older than advised, or their age not known, ");
    add_past(into, of, of->job->policy.past_life_critical);
}

static void find_past(text *into, const part_context *of)
{
    add_past(into, of, of->job->policy.past_life_replace);
}

static void find_heat_doubt(text *into, const part_context *of)
{
    add_past(into, of, of->job->policy.past_life_check);
    text_add(into, of->asked.doubt_mostly_heat ? ", mostly from the temperature"
                                               : ", not mostly from the temperature");
}

static void find_measure(text *into, const part_context *of)
{
    const sf_policy *policy = &of->job->policy;
    const char *why = meter_needed(&of->asked, policy);
    if (why)
        text_addf(into, "%s (", why);
    text_add(into, of->asked.doubtful_reading ? "a meter reading in doubt, "
                                              : "no meter reading in doubt, ");
    add_past(into, of, policy->past_life_check);
    if (isnan(of->asked.goal_h))
        text_add(into, ", no service goal");
    else
        text_addf(into, ", %.0f h left, goal %.0f", of->result->left_h, of->asked.goal_h);
    text_addf(into, ", %s seals, used %.4g, limit %.4g", of->asked.past_seal ? "old" : "no old",
              of->result->used, policy->used_middling);
    text_add(into, why ? ")" : "");
}

static void find_unread(text *into, const part_context *of)
{
    text_add(into, of->asked.unread ? "no reading lies on it" : "it was read");
}

static void find_doubted(text *into, const part_context *of)
{
    const sf_trust *trust = &of->result->trust;
    if (of->asked.doubted)
        text_addf(into, "%s %s is in doubt", trust->source ? "source" : "reading", trust->doubted);
    else if (of->asked.grade_doubted)
        text_add(into, "its rating or endurance is higher than any catalogue promises");
    else if (of->asked.air_doubted)
        text_addf(into, "the service air may be %.0f K warmer than given",
                  job_air_doubted_k(of->job));
    else if (of->asked.hours_doubted)
        text_addf(into, "%.0f h against %.0f h by hours_per_year", job_hours_told(of->job),
                  job_hours_doubted(of->job));
    else if (!isnan(job_hours_doubted(of->job)))
        text_addf(into, "none is near, and %.0f h by hours_per_year would not wear it either",
                  job_hours_doubted(of->job));
    else
        text_add(into, "none is near");
}

static const struct rule {
    sf_verdict verdict;
    const char *asks;
    void (*find)(text *into, const part_context *of);
} rules[] = {
    [SF_RULE_EVIDENCE] = {SF_REPLACE, "worn by meter or eye", find_worn},
    [SF_RULE_CRITICAL] = {SF_REPLACE, "critical, and old or perhaps past its rated life",
                          find_critical},
    [SF_RULE_PAST_LIFE] = {SF_REPLACE, "probably past its rated life", find_past},
    [SF_RULE_DOUBT] = {SF_CHECK, "perhaps past its rated life, as the temperature is uncertain",
                       find_heat_doubt},
    [SF_RULE_MEASURE] = {SF_CHECK, "only a meter can tell", find_measure},
    [SF_RULE_UNREAD] = {SF_CHECK, "its piece of the board was not read", find_unread},
    [SF_RULE_DOUBTED] =
        {SF_CHECK, "a reading or source near it is in doubt, or its grade, its hours or its air",
         find_doubted},
    [SF_RULE_LEAVE] = {SF_LEAVE, "otherwise", NULL},
};

/* --- what it hangs on --- */

/* Whether it would perhaps be past its rated life, or short of the goal, had it never been warmer
 * than the air. */
static bool checked_in_air(const rule_inputs *of, const sf_part_result *result)
{
    double used = result->used_in_air, wider = result->used_high / result->used;
    return used * wider > 1 || result->hours * (1 - used) / used < of->goal_h;
}

static sf_cause cause_of_check(const rule_inputs *of, const sf_policy *policy,
                               const sf_part_result *result)
{
    if (result->rule != SF_RULE_MEASURE)
        return of->unread || of->doubted || !(of->grade_doubted || of->hours_doubted)
                   ? SF_CAUSE_HEAT
                   : SF_CAUSE_AGE;
    if (of->doubtful_reading)
        return SF_CAUSE_METER;
    if (of->no_law)
        return SF_CAUSE_HEAT;
    bool past = of->past_life >= policy->past_life_check || of->left_h < of->goal_h;
    bool cooler_would_stay =
        past ? !checked_in_air(of, result) : result->used_in_air < policy->used_middling;
    return cooler_would_stay ? SF_CAUSE_HEAT : SF_CAUSE_AGE;
}

void rules_apply(const rule_inputs *of, const sf_policy *policy, sf_part_result *result)
{
    result->rule = rule_find(of, policy);
    result->verdict = rules[result->rule].verdict;
    switch (result->rule) {
    case SF_RULE_EVIDENCE:
        result->cause = SF_CAUSE_METER;
        break;
    case SF_RULE_CRITICAL:
        result->cause = SF_CAUSE_CRITICAL;
        break;
    case SF_RULE_PAST_LIFE:
        result->cause = result->used_in_air > 1 ? SF_CAUSE_AGE : SF_CAUSE_HEAT;
        break;
    case SF_RULE_LEAVE:
        result->cause = SF_CAUSE_NONE;
        break;
    default:
        result->cause = cause_of_check(of, policy, result);
    }
}

rule_inputs rule_tell(const sf_job *job, const sf_part *part, const meter *with, evidence *found,
                      sf_part_result *result)
{
    *found = evidence_gather(part, with, &job->policy);
    rule_inputs asked = part_rule_inputs(job, part, found, result);
    result->reading_pct = found->reading_pct;
    result->worn_by_evidence = asked.worn;
    result->meter_good = found->good;
    rules_apply(&asked, &job->policy, result);
    return asked;
}

void explain_rules(text *into, const part_context *of)
{
    sf_rule last = of->result->rule;
    text_add(into, "Rules, the first that applies decides\n");
    for (sf_rule rule = SF_RULE_EVIDENCE; rule <= last; rule++) {
        text_addf(into, "  rule %d, %s: %s%s", (int)rule, rules[rule].asks,
                  sf_verdict_text(rules[rule].verdict), rules[rule].find ? ": " : "");
        if (rules[rule].find)
            rules[rule].find(into, of);
        text_add(into, rule == last ? "; it decides\n" : "; does not apply\n");
    }
    text_addf(into, "Verdict = %s: %s\n", sf_verdict_text(of->result->verdict), of->result->reason);
}
