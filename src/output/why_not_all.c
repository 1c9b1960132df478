/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* For the owner: why the parts that stay are not replaced as well. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include <gsl/gsl_math.h>

#include "core/curve.h"
#include "core/digits.h"
#include "core/memory.h"
#include "core/text.h"
#include "job/hours.h"
#include "life/wear.h"
#include "spotfield/output.h"
#include "survey/facts.h"

#define TAIL 0.05
#define MINUTES_PER_HOUR 60.0

/* How many parts that are left will prove failed: the mean, and 5 and 95 % quantiles. */
typedef struct failures {
    size_t left, reckoned; /* parts left, and those of them whose chance is known */
    double expected;
    size_t least, most;
} failures;

/* Chances of 0, 1, 2 ... failures among parts that fail apart from one another, one part after
 * another taken in (Poisson's binomial distribution). */
static void take_in(double *chances, size_t count, double worn_out)
{
    for (size_t failed = count + 1; failed > 0; failed--)
        chances[failed] = chances[failed] * (1 - worn_out) + chances[failed - 1] * worn_out;
    chances[0] *= 1 - worn_out;
}

static size_t quantile(const double *chances, size_t count, double chance)
{
    double below = 0;
    for (size_t failed = 0; failed < count; failed++) {
        below += chances[failed];
        if (below >= chance)
            return failed;
    }
    return count;
}

/* Standard deviation of what the parts of a board have together, as ln of the share used: its air
 * and its hours, and an endurance that was assumed for a grade. */
static double shared_sd(const sf_outcome *outcome, size_t part)
{
    const sf_board *board = &outcome->job->board;
    double doubling_k = sf_life_doubling_k(outcome->job->parts[part].type);
    double air = M_LN2 / doubling_k * board->service_ambient_sd_k;
    return hypot(hypot(air, board_hours_sd(board)), outcome->results[part].endurance_sd);
}

/* The chance of a part where what all share lies at a node: the Weibull law of the share used
 * multiplies -ln(1 - chance) by exp(shape ln used), and the mean over the nodes stays. */
static double chance_at(const sf_outcome *outcome, size_t part, int node)
{
    double steep = outcome->job->policy.wear_shape * shared_sd(outcome, part), mean = 0;
    for (int i = 0; i < NORMAL_NODES; i++)
        mean += normal_nodes[i].weight * exp(steep * normal_nodes[i].place);
    double log_sound = log1p(-outcome->results[part].worn_out);
    return -expm1(log_sound * exp(steep * normal_nodes[node].place) / mean);
}

static bool is_reckoned(const sf_outcome *outcome, size_t part)
{
    const sf_part_result *result = &outcome->results[part];
    return result->verdict == SF_LEAVE && !isnan(result->worn_out);
}

/* Adds the chances of 0, 1, 2 ... failures at a node to all; `chances` is room for as many. */
static void add_node(const sf_outcome *outcome, int node, double *chances, double *all)
{
    size_t count = 0, parts = outcome->job->part_count;
    for (size_t i = 0; i <= parts; i++)
        chances[i] = i == 0;
    for (size_t i = 0; i < parts; i++)
        if (is_reckoned(outcome, i))
            take_in(chances, count++, chance_at(outcome, i, node));
    for (size_t i = 0; i <= parts; i++)
        all[i] += normal_nodes[node].weight * chances[i];
}

static bool count_failures(const sf_outcome *outcome, failures *found)
{
    size_t parts = outcome->job->part_count;
    double *chances = array_new(parts + 2, sizeof *chances);
    double *all = array_new(parts + 2, sizeof *all);
    bool room = chances && all;
    *found = (failures){0};
    for (size_t i = 0; i < parts; i++) {
        found->left += outcome->results[i].verdict == SF_LEAVE;
        found->reckoned += is_reckoned(outcome, i);
        found->expected += is_reckoned(outcome, i) ? outcome->results[i].worn_out : 0;
    }
    for (int node = 0; room && node < NORMAL_NODES; node++)
        add_node(outcome, node, chances, all);
    if (room) {
        found->least = quantile(all, found->reckoned, TAIL);
        found->most = quantile(all, found->reckoned, 1 - TAIL);
    }
    free(chances);
    free(all);
    return room;
}

/* Below half of the last place that is told there is no number. */
static const double told_least = 0.05;

static void add_chance_of_one(text *into, double worn_out)
{
    double pct = 100 * worn_out;
    text_add(into, "One part stays; the chance that it proves worn out on a meter today is ");
    if (pct < told_least)
        text_add(into, "below 0.1 %.");
    else
        text_addf(into, "about %s %%.", fixed_told(pct, pct < 10 ? 1 : 0).bytes);
}

static void add_failures(text *into, const failures *of)
{
    if (of->left == 1) {
        add_chance_of_one(into, of->expected);
        return;
    }
    if (of->expected < told_least && of->most == 0) {
        text_addf(into, "Of the %zu that stay, none is likely to prove worn out on a meter today.",
                  of->left);
        return;
    }
    text_addf(into, "Of the %zu that stay, expect about %s", of->left,
              fixed_told(of->expected, of->expected < 10 ? 1 : 0).bytes);
    if (of->least == of->most)
        text_addf(into, " (most likely %zu)", of->most);
    else
        text_addf(into, " (90 %%: %zu to %zu)", of->least, of->most);
    text_add(into, " to prove worn out on a meter today.");
}

/* What replacing them would take. */
static void add_cost(text *into, const sf_outcome *outcome, const failures *of)
{
    const sf_policy *policy = &outcome->job->policy;
    double minutes = (double)of->left * policy->work_minutes, hours = minutes / MINUTES_PER_HOUR;
    bool short_work = minutes < MINUTES_PER_HOUR;
    double slips = (double)of->left * policy->slip_pct / 100;
    text_addf(into,
              " Replacing %s as well would take %zu more part%s and about %s %s at the bench. If "
              "%s %% of such jobs go wrong, expect %s %s lifted pads, damaged tracks or parts "
              "fitted the wrong way round",
              of->left == 1 ? "it" : "them", of->left, of->left == 1 ? "" : "s",
              fixed_told(short_work ? minutes : hours, short_work || hours >= 10 ? 0 : 1).bytes,
              short_work ? "minutes" : "hours", number_told(policy->slip_pct).bytes,
              slips < told_least ? "fewer than" : "about",
              fixed_told(fmax(slips, 2 * told_least), 1).bytes);
    text_add(into, of->reckoned > 0 && slips > of->expected ? ": more harm than good." : ".");
}

/* The part left that uses up its rated life first. */
static const sf_part_result *first_to_go(const sf_outcome *outcome, const char **ref)
{
    const sf_part_result *first = NULL;
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        const sf_part_result *result = &outcome->results[i];
        if (result->verdict == SF_LEAVE && (!first || result->left_h < first->left_h) &&
            !isnan(result->left_h)) {
            first = result;
            *ref = outcome->job->parts[i].ref;
        }
    }
    return first;
}

static void add_when(text *into, const sf_outcome *outcome, size_t left)
{
    const char *ref = "";
    const sf_part_result *first = first_to_go(outcome, &ref);
    double years = outcome->job->board.hours_per_year > 0
                       ? (first ? first->left_h : NAN) / outcome->job->board.hours_per_year
                       : NAN;
    size_t old = 0;
    for (size_t i = 0; i < outcome->job->part_count; i++)
        old += outcome->results[i].verdict == SF_LEAVE && outcome->results[i].used >= 0 &&
               outcome->results[i].age_years > outcome->job->policy.seal_years;
    text_addf(into, " Look at %s again ", left == 1 ? "it" : "them");
    if (old > 0) {
        text_add(into, "at the next service: ");
        if (old < left || left > 2)
            text_addf(into, old == left ? "all %zu" : "%zu", old);
        else
            text_add(into, left == 1 ? "it" : "both");
        text_addf(into, " %s past the %.0f years advised for seals", old == 1 ? "is" : "are",
                  outcome->job->policy.seal_years);
    } else if (years >= 1)
        text_addf(into, years < 2 ? "within 1 year" : "within %.0f years", floor(years));
    else
        text_add(into, "at the next service");
    text_add(into, ".");
    if (left > 1 && first && first->used > 0)
        text_addf(into, " Begin with %s: its rated life ends first.", ref);
}

char *sf_outcome_why_not_all(const sf_outcome *outcome)
{
    failures found;
    text made = {0};
    if (!count_failures(outcome, &found))
        return NULL;
    if (found.left == 0)
        return text_copy("");
    if (found.reckoned > 0)
        add_failures(&made, &found);
    else if (found.left == 1)
        text_add(&made, "There is no way to tell whether the one that stays is worn out.");
    else
        text_addf(&made, "There is no way to tell how many of the %zu that stay are worn out.",
                  found.left);
    add_cost(&made, outcome, &found);
    add_when(&made, outcome, found.left);
    return text_take(&made);
}
