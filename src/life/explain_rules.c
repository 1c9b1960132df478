/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One part's reasoning, from calendar and meter to the rule that decided. */
#include "life/part_explain.h"

#include <math.h>

/* --- calendar, meter, eye --- */

static void explain_age(text *into, const part_context *of)
{
    double seal_years = of->job->policy.seal_years;
    text_add(into, "Calendar\n");
    if (isnan(of->result->age_years))
        text_add(into, "  age = not known\n");
    else
        text_addf(into,
                  "  age = %.4g years: %s the %.4g of the seals' guidance; policy, "
                  "seal_years\n",
                  of->result->age_years, of->asked.past_seal ? "past" : "within", seal_years);
}

static void explain_capacitance(text *into, const part_context *of)
{
    const sf_part *part = of->part;
    const evidence *found = &of->found;
    text_addf(into, "  capacitance = %.6g uF on a marking of %.6g: %+.3g %% as read\n",
              part->measured_uf, part->capacitance_uf, found->marking_pct);
    text_addf(into,
              "  the meter reads new parts %.4g times their marking: median of %zu controls\n",
              of->with->bias, of->with->controls);
    text_addf(into, "  corrected = %+.3g %%, tolerance -%.6g/+%.6g %%: %s\n", found->reading_pct,
              part->tolerance_low_pct, part->tolerance_high_pct,
              found->reads_low        ? "below it: worn"
              : found->reads_near_low ? "below it, but within the meter's uncertainty"
              : found->reads_high     ? "above it: perhaps leaky"
                                      : "within it");
}

static void explain_esr(text *into, const part_context *of)
{
    const sf_part *part = of->part;
    const sf_policy *policy = &of->job->policy;
    double limit_ohm = of->found.esr_limit_ohm;
    if (isnan(limit_ohm)) {
        text_addf(into, "  ESR = %.4g ohm: no limit to judge it by\n", part->measured_esr_ohm);
        return;
    }
    if (isnan(part->esr_limit_ohm))
        text_addf(
            into,
            "  ESR limit = %.4g * tan delta / (2 pi 120 Hz C), at %.0f Hz = %.4g ohm; policy, "
            "esr_age_factor\n",
            policy->esr_age_factor, part->esr_hz, limit_ohm);
    text_addf(into, "  ESR = %.4g ohm, limit %.4g, worn above %.4g times that: %s\n",
              part->measured_esr_ohm, limit_ohm, policy->esr_doubt_factor,
              of->found.esr_worn       ? "worn"
              : of->found.esr_doubtful ? "above the limit"
                                       : "within it");
}

static void explain_leakage(text *into, const part_context *of)
{
    double limit_ua = of->found.leakage_limit_ua;
    if (isnan(limit_ua))
        text_addf(into, "  leakage = %.4g uA: no limit to judge it by\n", of->part->leakage_ua);
    else
        text_addf(into, "  leakage = %.4g uA, limit %.4g, worn above %.4g times that: %s\n",
                  of->part->leakage_ua, limit_ua, of->job->policy.leakage_doubt_factor,
                  of->found.leaks_worn       ? "worn"
                  : of->found.leaks_doubtful ? "above the limit"
                                             : "within it");
}

void explain_evidence(text *into, const part_context *of)
{
    const sf_part *part = of->part;
    explain_age(into, of);
    text_add(into, "Meter and eye\n");
    if (!isnan(of->found.reading_pct))
        explain_capacitance(into, of);
    else
        text_add(into, "  capacitance = not measured, or no marking to judge it by\n");
    if (!isnan(part->measured_esr_ohm))
        explain_esr(into, of);
    else
        text_add(into, "  ESR = not measured\n");
    if (!isnan(part->leakage_ua))
        explain_leakage(into, of);
    text_addf(into, "  condition = %s\n",
              part->condition == SF_CONDITION_UNKNOWN ? "not given"
                                                      : sf_condition_text(part->condition));
}

/* --- rules --- */

/* One line; takes what it finds over. */
static void add_rule(text *into, const part_context *of, int rule, const char *asks, text *finds)
{
    bool decides = (int)of->result->rule == rule;
    text_addf(into, "  rule %d, %s: %s%s\n", rule, asks, finds->failed ? "" : finds->bytes,
              decides ? "; it decides" : "; passed over");
    into->failed = into->failed || finds->failed;
    text_clear(finds);
}

static void explain_worn(text *into, const part_context *of)
{
    text finds = {0};
    text_add(&finds, of->found.damaged      ? sf_condition_text(of->part->condition)
                     : of->found.reads_low  ? "reads below its tolerance"
                     : of->found.esr_worn   ? "its ESR is worn"
                     : of->found.leaks_worn ? "it leaks current"
                                            : "neither says so");
    add_rule(into, of, SF_RULE_EVIDENCE, "worn by meter or eye: replace", &finds);
}

/* "past_life 0.0312 against 0.05 and up", or that it is not known. */
static void add_past(text *into, const part_context *of, double from)
{
    if (isnan(of->result->past_life))
        text_add(into, "past_life is not known");
    else
        text_addf(into, "past_life %.4g against %.4g and up", of->result->past_life, from);
    if (of->asked.outlives)
        text_add(into, ", but capacitance and ESR are good and the endurance is only assumed");
}

static void explain_critical(text *into, const part_context *of)
{
    text finds = {0};
    text_add(&finds, of->part->critical ? "critical, " : "not critical, ");
    text_add(&finds, of->asked.past_seal ? "seal past its guidance, "
                                         : "seal within its guidance or its age not known, ");
    add_past(&finds, of, of->job->policy.past_life_critical);
    add_rule(into, of, SF_RULE_CRITICAL,
             "critical, and old or perhaps past its rated life: replace", &finds);
}

static void explain_past(text *into, const part_context *of)
{
    text finds = {0};
    add_past(&finds, of, of->job->policy.past_life_replace);
    add_rule(into, of, SF_RULE_PAST_LIFE, "probably past its rated life: replace", &finds);
}

static void explain_heat_doubt(text *into, const part_context *of)
{
    text finds = {0};
    add_past(&finds, of, of->job->policy.past_life_check);
    text_add(&finds, of->asked.doubt_mostly_heat ? ", mostly from the temperature"
                                                 : ", not mostly from the temperature");
    add_rule(into, of, SF_RULE_DOUBT,
             "perhaps past its rated life, as the temperature is uncertain: check", &finds);
}

static void explain_measure(text *into, const part_context *of)
{
    const sf_policy *policy = &of->job->policy;
    text finds = {0};
    text_add(&finds, of->asked.doubtful_reading ? "the meter's reading is doubtful, "
                                                : "no doubtful reading, ");
    add_past(&finds, of, policy->past_life_check);
    if (isnan(of->asked.goal_h))
        text_add(&finds, ", no service goal");
    else
        text_addf(&finds, ", left %.0f h against a goal of %.0f", of->result->left_h,
                  of->asked.goal_h);
    text_addf(&finds, ", %s seal with %.4g used against %.4g",
              of->asked.past_seal ? "old" : "no old", of->result->used, policy->used_middling);
    add_rule(into, of, SF_RULE_MEASURE, "only a meter can tell: check", &finds);
}

static void explain_unread(text *into, const part_context *of)
{
    text finds = {0};
    text_add(&finds, of->asked.unread ? "no reading lies on it" : "it was read");
    add_rule(into, of, SF_RULE_UNREAD, "its piece of the board was not read: check", &finds);
}

static void explain_doubted(text *into, const part_context *of)
{
    const sf_trust *trust = &of->result->trust;
    text finds = {0};
    if (of->asked.doubted)
        text_addf(&finds, "%s %s is in doubt", trust->source ? "source" : "reading",
                  trust->doubted);
    else
        text_add(&finds, "none is near");
    add_rule(into, of, SF_RULE_DOUBTED, "a reading or source near it is in doubt: check", &finds);
}

void explain_rules(text *into, const part_context *of)
{
    static void (*const rules[])(text *, const part_context *) = {
        [SF_RULE_EVIDENCE] = explain_worn,   [SF_RULE_CRITICAL] = explain_critical,
        [SF_RULE_PAST_LIFE] = explain_past,  [SF_RULE_DOUBT] = explain_heat_doubt,
        [SF_RULE_MEASURE] = explain_measure, [SF_RULE_UNREAD] = explain_unread,
        [SF_RULE_DOUBTED] = explain_doubted,
    };
    text_add(into, "Rules, the first that applies\n");
    for (int rule = SF_RULE_EVIDENCE; rule <= (int)of->result->rule && rule < SF_RULE_LEAVE; rule++)
        rules[rule](into, of);
    if (of->result->rule == SF_RULE_LEAVE)
        text_addf(into, "  rule %d, otherwise: leave; it decides\n", SF_RULE_LEAVE);
    text_addf(into, "Verdict = %s: %s\n", sf_verdict_text(of->result->verdict), of->result->reason);
}
