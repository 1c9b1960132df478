/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The verdict on a board in a few sentences: how many, why, and what stays. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "core/digits.h"
#include "core/memory.h"
#include "core/text.h"
#include "spotfield/output.h"
#include "survey/facts.h"

/* The parts that one cause sends away. */
typedef struct group {
    size_t *parts; /* indices */
    size_t count;
    double least_c, most_c;
    size_t old; /* past the years advised for seals */
} group;

static group gather(const sf_outcome *outcome, sf_cause cause)
{
    size_t parts = outcome->job->part_count;
    group found = {array_new(parts, sizeof *found.parts), 0, INFINITY, -INFINITY, 0};
    for (size_t i = 0; i < parts && found.parts; i++) {
        const sf_part_result *result = &outcome->results[i];
        if (result->verdict != SF_REPLACE || result->cause != cause)
            continue;
        found.parts[found.count++] = i;
        found.least_c = fmin(found.least_c, result->temp_c);
        found.most_c = fmax(found.most_c, result->temp_c);
        found.old += result->age_years > outcome->job->policy.seal_years;
    }
    return found;
}

static void add_temperatures(text *into, double least_c, double most_c)
{
    number_add(into, least_c, 0);
    if (round(most_c) > round(least_c))
        text_addf(into, " to %s", fixed_told(most_c, 0).bytes);
    text_add(into, " C");
}

static void add_past_life(text *into, const sf_outcome *outcome, const group *of)
{
    char *place = sf_parts_place(outcome->job, of->parts, of->count);
    text_addf(into, "heat has probably used up %s rated life (", of->count == 1 ? "its" : "their");
    add_temperatures(into, of->least_c, of->most_c);
    if (place && place[0])
        text_addf(into, ", %s", place);
    text_add(into, ")");
    into->failed = into->failed || !place;
    free(place);
}

static void add_by_grade(text *into, const sf_outcome *outcome, const group *of)
{
    (void)outcome;
    text_addf(into,
              "hours and grade alone have used up %s rated life, even at the temperature of the "
              "air (the map cannot help there: measure %s)",
              of->count == 1 ? "its" : "their", of->count == 1 ? "it" : "a sample of these");
}

static void add_critical(text *into, const sf_outcome *outcome, const group *of)
{
    text_add(into, of->count == 1 ? "it is critical and " : "they are critical and ");
    if (of->old > 0)
        text_addf(into, "older than %s years",
                  fixed_told(outcome->job->policy.seal_years, 0).bytes);
    if (of->old < of->count)
        text_addf(into, "%sperhaps past %s rated life", of->old > 0 ? " or " : "",
                  of->count == 1 ? "its" : "their");
}

static void add_evidence(text *into, const sf_outcome *outcome, const group *of)
{
    (void)outcome;
    text_addf(into, "meter or eye found %s worn", of->count == 1 ? "it" : "them");
}

typedef void (*teller)(text *into, const sf_outcome *outcome, const group *of);

static const teller tellers[SF_CAUSE_COUNT] = {[SF_CAUSE_AGE] = add_by_grade,
                                               [SF_CAUSE_HEAT] = add_past_life,
                                               [SF_CAUSE_CRITICAL] = add_critical,
                                               [SF_CAUSE_METER] = add_evidence};

/* One cause for all that is replaced: "The 9 go", or "They go" where that is every part. */
static void add_all(text *into, size_t replaced, size_t parts)
{
    if (replaced == parts)
        text_add(into, replaced == 1 ? "It goes" : "They go");
    else if (replaced == 1)
        text_add(into, "The one goes");
    else
        text_addf(into, "The %zu go", replaced);
}

/* One of several causes: "Of the 14, 9 go", then "3" and "one". */
static void add_some(text *into, size_t count, size_t told, size_t replaced)
{
    if (told == 0)
        text_addf(into, "Of the %zu, ", replaced);
    if (count == 1)
        text_add(into, told == 0 ? "one goes" : "one");
    else
        text_addf(into, told == 0 ? "%zu go" : "%zu", count);
}

/* "Of the 12, 8 go because ..., 3 because ..., and one because ..." */
static void add_causes(text *into, const sf_outcome *outcome, size_t replaced)
{
    size_t told = 0;
    for (int cause = SF_CAUSE_NONE + 1; cause < SF_CAUSE_COUNT && told < replaced; cause++) {
        group of = gather(outcome, (sf_cause)cause);
        if (of.count > 0) {
            bool last = told + of.count == replaced;
            text_add(into, told == 0 ? " " : last ? ", and " : ", ");
            if (of.count == replaced)
                add_all(into, replaced, outcome->job->part_count);
            else
                add_some(into, of.count, told, replaced);
            text_add(into, " because ");
            tellers[cause](into, outcome, &of);
            told += of.count;
        }
        into->failed = into->failed || !of.parts;
        free(of.parts);
    }
    text_add(into, told > 0 ? "." : "");
}

/* The largest share used among the parts left that heat wears; NAN where one is not known, and
 * where there is none. */
static double most_used(const sf_outcome *outcome)
{
    double used = -INFINITY;
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        const sf_part_result *result = &outcome->results[i];
        bool by_heat = !isnan(sf_life_doubling_k(outcome->job->parts[i].type));
        if (by_heat && result->verdict == SF_LEAVE && !(result->used <= used) && !isnan(used))
            used = result->used;
    }
    return isinf(used) ? (double)NAN : used;
}

static void add_left(text *into, const sf_outcome *outcome, size_t left)
{
    double used = most_used(outcome);
    if (left == 0 || isnan(used))
        return;
    bool one = left == 1;
    if (left == outcome->job->part_count)
        text_add(into, one ? " It has" : " They have");
    else if (one)
        text_add(into, " The one left has");
    else
        text_addf(into, " The %zu left have", left);
    text_addf(into, " used at most %s %% of %s rated life.",
              fixed_told(fmax(ceil(used * 100), 1), 0).bytes, one ? "its" : "their");
}

/* Without hours there is no wear to tell of. */
static void add_unknown(text *into, const sf_outcome *outcome, size_t checked)
{
    for (size_t i = 0; i < outcome->job->part_count; i++)
        if (!isnan(outcome->results[i].hours))
            return;
    if (checked > 0)
        text_add(into, " How long the board has run is not known, so only a meter can tell.");
}

/* "Replace 12 of 90 capacitors, check 9, leave 69." */
static void add_counts(text *into, const size_t *counts, size_t parts)
{
    static const char *const words[SF_VERDICT_COUNT] = {
        [SF_LEAVE] = "Leave", [SF_CHECK] = "Check", [SF_REPLACE] = "Replace"};
    for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++) {
        if (counts[verdict] != parts)
            continue;
        if (parts == 1)
            text_addf(into, "%s the one capacitor listed.", words[verdict]);
        else if (parts == 2)
            text_addf(into, "%s both capacitors.", words[verdict]);
        else
            text_addf(into, "%s all %zu capacitors.", words[verdict], parts);
        return;
    }
    if (counts[SF_REPLACE] > 0)
        text_addf(into, "Replace %zu of %zu capacitors", counts[SF_REPLACE], parts);
    else
        text_addf(into, "Replace none of %zu capacitors", parts);
    if (counts[SF_CHECK] > 0)
        text_addf(into, ", check %zu", counts[SF_CHECK]);
    if (counts[SF_LEAVE] > 0)
        text_addf(into, ", leave %zu", counts[SF_LEAVE]);
    text_add(into, ".");
}

static void add_no_parts(text *into, const sf_outcome *outcome)
{
    heat_range heat = board_heat(outcome);
    text_add(into, "No capacitor is listed");
    if (isfinite(heat.most_c)) {
        text_add(into, "; the board runs at ");
        add_temperatures(into, heat.least_c, heat.most_c);
        text_addf(into, ", hottest near (%.0f, %.0f) mm", heat.most_x_mm, heat.most_y_mm);
    }
    text_add(into, ".");
}

char *sf_outcome_sentence(const sf_outcome *outcome)
{
    size_t parts = outcome->job->part_count, counts[SF_VERDICT_COUNT];
    text sentence = {0};
    if (parts == 0) {
        add_no_parts(&sentence, outcome);
        return text_take(&sentence);
    }
    for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++)
        counts[verdict] = verdict_count(outcome, (sf_verdict)verdict);
    add_counts(&sentence, counts, parts);
    add_causes(&sentence, outcome, counts[SF_REPLACE]);
    add_left(&sentence, outcome, counts[SF_LEAVE]);
    add_unknown(&sentence, outcome, counts[SF_CHECK]);
    return text_take(&sentence);
}
