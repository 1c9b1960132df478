/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The ordered rules and the words of the verdicts. */
#include "life/verdict.h"

#include <math.h>

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

/* Whether only capacitance and ESR can tell. A comparison with NAN is false, so that what is not
 * known asks for nothing but through isnan. */
static bool asks_for_meter(const rule_inputs *of, const sf_policy *policy)
{
    if (of->doubtful_reading)
        return true;
    if (of->no_law)
        return of->over_rated;
    if (isnan(of->used))
        return true;
    if (of->past_life >= policy->past_life_check || of->left_h < of->goal_h)
        return true;
    return of->past_seal && of->used >= policy->used_middling;
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
    if (asks_for_meter(of, policy))
        return SF_RULE_MEASURE;
    if (of->no_law)
        return SF_RULE_LEAVE;
    if (of->unread)
        return SF_RULE_UNREAD;
    return of->doubted ? SF_RULE_DOUBTED : SF_RULE_LEAVE;
}

static const sf_verdict rule_verdicts[] = {
    [SF_RULE_EVIDENCE] = SF_REPLACE,  [SF_RULE_CRITICAL] = SF_REPLACE,
    [SF_RULE_PAST_LIFE] = SF_REPLACE, [SF_RULE_DOUBT] = SF_CHECK,
    [SF_RULE_MEASURE] = SF_CHECK,     [SF_RULE_UNREAD] = SF_CHECK,
    [SF_RULE_DOUBTED] = SF_CHECK,     [SF_RULE_LEAVE] = SF_LEAVE,
};

sf_verdict rule_verdict(sf_rule rule)
{
    return rule_verdicts[rule];
}
