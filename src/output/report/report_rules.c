/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How a verdict is reached: the rules in their order, with the thresholds of this job. */
#include "output/report/html.h"
#include "output/report/report.h"

static void add_share(text *into, const char *before, double share, const char *after)
{
    text_add(into, before);
    html_short(into, share * 100);
    text_add(into, after);
}

static void add_years(text *into, const char *before, double years, const char *after)
{
    text_add(into, before);
    html_short(into, years);
    text_add(into, after);
}

static void add_rules(const sf_policy *policy, text *into)
{
    text_add(into, "<p>The first rule that applies decides:</p>\n<ol>\n"
                   "<li>Worn by meter or eye: replace, whatever the heat says.</li>\n");
    add_years(into, "<li>Critical, and older than ", policy->seal_years, " years");
    add_share(into, " or with a chance of at least ", policy->past_life_critical,
              " % that its rated life is used up: replace.</li>\n");
    add_share(into, "<li>A chance of at least ", policy->past_life_replace, " %: replace.</li>\n");
    add_share(into, "<li>A chance of at least ", policy->past_life_check,
              " %, mostly because the temperature is unsure: check, by reading the board "
              "there.</li>\n");
    add_share(into, "<li>A chance of at least ", policy->past_life_check,
              " %, or less life left than the board is to run, or a capacitance above its "
              "tolerance, as a leaky part reads on simple meters");
    add_share(into, ", or an old seal and more than ", policy->used_middling,
              " % used: check, by measuring capacitance and series resistance.</li>\n");
    text_add(into, "<li>No reading on its piece of the board, or a reading or source near it that "
                   "is in doubt: check, by reading there again.</li>\n");
    text_add(into, "<li>Otherwise leave.</li>\n</ol>\n");
}

void report_rules(const report *shown, text *into)
{
    const sf_policy *policy = &shown->outcome->job->policy;
    text_add(into, "<h3>How a verdict is reached</h3>\n");
    add_rules(policy, into);
    text_add(into,
             "<p>Two chances must not be confused. That the <em>rated life is used up</em> "
             "follows from the uncertainty of temperature, hours and endurance, and it decides. "
             "That a <em>part is worn out</em> follows from the spread between parts alike; "
             "summed over the board it says how many bad ones to expect on the "
             "meter.</p>\n");
    add_years(into, "<p>Seals age whether or not the board runs: past ", policy->seal_years,
              " years a part is beyond the makers\u2019 guidance. Alone that does not condemn a "
              "cool, unstressed part. It turns a critical one to replace, and one of middling use "
              "to check.</p>\n");
}
