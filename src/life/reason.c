/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reasons: one function a clause, one list of clauses a rule. */
#include "life/decide.h"

#include <math.h>
#include <stdlib.h>

#include "core/digits.h"
#include "job/doubtful.h"
#include "job/hours.h"
#include "life/owner_words.h"
#include "life/probe.h"

/* No one plans beyond: more years than this are told as "over". */
#define YEARS_TOLD_MAX 20.0
#define YEARS_FINE_MAX 9.95
#define SURE_MAX 0.995
/* A narrower interval of the share used says nothing. */
#define INTERVAL_TOLD 0.005

/* How much a reason tells; less where the line would grow too long. */
typedef enum detail {
    DETAIL_LEAST, /* without what was assumed, and not how far the goal is where there is more */
    DETAIL_BARE,  /* without the hours */
    DETAIL_HOURS, /* without the interval */
    DETAIL_ALL
} detail;

/* No estimate of a case is told as better than 1 K. */
static void add_temperature(text *into, const part_context *of)
{
    const sf_part_result *result = of->result;
    text_addf(into, "%.0f ± %.0f C", result->temp_c, fmax(result->temp_sd_k, 1));
    if (result->temp_c > of->part->rated_c)
        text_addf(into, " (above its %g C rating)", of->part->rated_c);
}

static void add_hours_run(text *into, const part_context *of)
{
    text_addf(into, of->part->duty < 1 ? "%s h stressed" : "%s h",
              whole_told(of->ran.hours * of->part->duty).bytes);
    if (of->ran.source == HOURS_ESTIMATED)
        text_addf(into, " (at %s a year)", whole_told(of->job->board.hours_per_year).bytes);
}

static void add_assumed(text *into, const part_context *of)
{
    if (of->result->endurance_assumed)
        text_addf(into, " (%s h at %g C assumed)", whole_told(of->result->endurance_h).bytes,
                  of->part->rated_c);
}

/* Whether the hours of life at one temperature are told: not where they are but the cap, nor where
 * the board has lived at several. */
static bool life_told(const part_context *of)
{
    return of->result->life_h < of->job->policy.life_cap_h && !of->lived->told;
}

/* "24,000 h of 18,100 h rated life at 62 ± 2 C: ". */
static void add_life(text *into, const part_context *of)
{
    add_hours_run(into, of);
    if (life_told(of)) {
        text_add(into, " of ");
        add_hours(into, of->result->life_h);
        text_add(into, " rated life");
    }
    if (of->lived->told)
        text_addf(into, of->lived->count == 1 ? " in %zu period, now" : " in %zu periods, now",
                  of->lived->count);
    text_add(into, " at ");
}

static void add_interval(text *into, const part_context *of)
{
    if (of->result->used_high - of->result->used_low <= INTERVAL_TOLD)
        return;
    text_add(into, " (90 %: ");
    add_percent_range(into, of->result->used_low, of->result->used_high);
    text_add(into, ")");
}

/* "24,000 h of 18,100 h rated life at 62 ± 2 C: 133 % used (90 %: 105 to 168 %)", or without the
 * hours "62 ± 2 C: 133 % of its rated life used". */
static void add_heat(text *into, const part_context *of, detail depth)
{
    if (of->asked.no_law) {
        add_temperature(into, of);
        text_addf(into, ", which decides nothing: %s", sf_life_no_law_text(of->part->type));
        return;
    }
    if (of->ran.source == HOURS_UNKNOWN) {
        add_temperature(into, of);
        text_add(into, ", run hours unknown");
        return;
    }
    if (depth >= DETAIL_HOURS)
        add_life(into, of);
    add_temperature(into, of);
    if (depth > DETAIL_LEAST)
        add_assumed(into, of);
    text_add(into, ": ");
    add_percent(into, of->result->used);
    bool named = depth >= DETAIL_HOURS ? life_told(of) : of->result->endurance_assumed;
    if (!named)
        text_add(into, " of its rated life");
    text_add(into, " used");
    if (depth == DETAIL_ALL)
        add_interval(into, of);
}

/* "98 % likely past it", its rated life being named before. */
static void add_past_life(text *into, const part_context *of)
{
    double past_life = of->result->past_life;
    if (past_life > SURE_MAX)
        text_add(into, "over 99 %");
    else
        add_percent(into, past_life);
    text_add(into, " likely past it");
}

static void add_age(text *into, const part_context *of)
{
    text_addf(into, "%.0f years old (%g advised for seals)", floor(of->result->age_years),
              of->job->policy.seal_years);
}

static void add_left(text *into, const part_context *of)
{
    const sf_part_result *result = of->result;
    bool capped = result->left_h >= of->job->policy.life_cap_h;
    if (isnan(result->left_years)) {
        text_add(into, capped ? "over " : "");
        add_hours(into, result->left_h);
        text_add(into, " left");
    } else if (result->left_years > YEARS_TOLD_MAX) {
        text_addf(into, "over %g years left at today's use", YEARS_TOLD_MAX);
    } else {
        bool by_seal = result->left_years * of->job->board.hours_per_year < result->left_h;
        text_add(into, capped && !by_seal ? "over " : "");
        text_addf(into, result->left_years < YEARS_FINE_MAX ? "%.1f" : "%.0f", result->left_years);
        text_add(into, by_seal ? " years until its seals are older than advised"
                               : " years left at today's use");
    }
}

static void tell_evidence(text *into, const part_context *of, detail depth)
{
    (void)depth;
    add_evidence(into, of);
    if (isnan(of->result->past_life))
        return;
    bool agrees = of->result->past_life >= of->job->policy.past_life_check;
    text_add(into, agrees ? "; heat says so too (" : "; heat alone would not say so (");
    add_percent(into, of->result->used);
    text_add(into, " used)");
}

/* Old and critical is the reason by itself, and then comes first. */
static void tell_critical(text *into, const part_context *of, detail depth)
{
    text_add(into, "critical");
    if (of->asked.past_seal) {
        text_add(into, " and ");
        add_age(into, of);
    }
    text_add(into, of->asked.past_seal ? "; " : ": ");
    add_heat(into, of, depth);
    if (of->result->past_life >= of->job->policy.past_life_critical) {
        text_add(into, ", ");
        add_past_life(into, of);
    }
    if (depth > DETAIL_LEAST)
        add_meter_fine(into, of, "; the");
}

static void tell_past_life(text *into, const part_context *of, detail depth)
{
    add_heat(into, of, depth);
    text_add(into, ", ");
    add_past_life(into, of);
    if (of->result->used_in_air > 1)
        text_add(into, ", by hours and grade alone");
    add_meter_fine(into, of, "; yet the");
}

static void tell_doubt(text *into, const part_context *of, detail depth)
{
    add_heat(into, of, depth);
    text_add(into, ", ");
    add_past_life(into, of);
    if (isnan(of->result->clear_below_c)) {
        text_add(into, "; no reading would clear it: measure capacitance and ESR");
        return;
    }
    if (sf_part_wants_meter(of->result)) {
        text_add(into, "; a reading is unlikely to settle it: measure capacitance and ESR");
        return;
    }
    /* in a no-touch area, and close to one, nobody is sent with a probe */
    bool no_touch = can_method(of->job, of->part, SF_METHOD_THERMOCOUPLE_K) == SF_METHOD_INFRARED;
    text_addf(into, "; read its can at (%.0f, %.0f)%s: under %.0f C on the bench clears it",
              of->part->x_mm, of->part->y_mm, no_touch ? ", infrared only" : "",
              of->result->clear_below_c);
}

static void add_goal(text *into, const part_context *of)
{
    text_add(into, ", ");
    add_hours(into, of->asked.left_h);
    text_addf(into, " left of the %s h goal", whole_told(of->asked.goal_h).bytes);
}

/* What has been measured and found fine is to be measured again later, not now. */
static void add_measuring(text *into, const part_context *of, detail depth)
{
    if (!of->found.fine) {
        text_add(into, "; measure capacitance and ESR");
        if (depth > DETAIL_LEAST && of->result->settles >= SF_SETTLES_LEAST)
            text_addf(into, ", or read its can%s first",
                      of->result->settles_by == SF_METHOD_INFRARED ? " by infrared" : "");
        return;
    }
    if (depth > DETAIL_LEAST)
        add_meter_fine(into, of, "; the");
    text_add(into, depth > DETAIL_LEAST ? ": measure again at the next service"
                                        : "; fine on the meter today");
}

/* The meter is against the rule of thumb, and the rule may be wrong. */
static void add_question(text *into, const part_context *of)
{
    text_addf(into, "; yet capacitance and ESR are good: is %s h too low?",
              whole_told(of->result->endurance_h).bytes);
}

static void tell_measure(text *into, const part_context *of, detail depth)
{
    const sf_policy *policy = &of->job->policy;
    bool perhaps_past = of->result->past_life >= policy->past_life_check;
    bool short_of_goal = of->asked.left_h < of->asked.goal_h;
    bool old = of->asked.past_seal && of->asked.used >= policy->used_middling;
    bool more = perhaps_past || old || of->asked.doubtful_reading;
    add_heat(into, of, depth);
    if (perhaps_past) {
        text_add(into, ", ");
        add_past_life(into, of);
    }
    if (short_of_goal && (depth > DETAIL_LEAST || !more))
        add_goal(into, of);
    if (old) {
        text_add(into, ", ");
        add_age(into, of);
    }
    add_meter_doubts(into, of);
    if (of->asked.outlives && of->result->past_life >= policy->past_life_replace)
        add_question(into, of);
    else
        add_measuring(into, of, depth);
}

static void tell_unread(text *into, const part_context *of, detail depth)
{
    add_heat(into, of, depth < DETAIL_HOURS ? depth : DETAIL_BARE);
    text_add(into, "; no reading on this piece of the board: read it before the part may stay");
}

static void add_grade_doubt(text *into, const part_context *of)
{
    if (!isnan(part_rating_against(of->part)))
        text_addf(into, "; a rating of %.10g C is above any usual one: read its marking again",
                  of->part->rated_c);
    else
        text_addf(into,
                  "; an endurance of %s h is more than twice what catalogues promise: look it up "
                  "again",
                  number_told(of->part->endurance_h).bytes);
}

/* The heat would let it stay. */
static void tell_doubted(text *into, const part_context *of, detail depth)
{
    const sf_trust *trust = &of->result->trust;
    add_heat(into, of, depth < DETAIL_HOURS ? depth : DETAIL_BARE);
    if (of->asked.doubted)
        text_addf(into, "; depends on %s, which is in doubt: %s", trust->doubted,
                  trust->source ? "read the board at it again" : "read it again");
    else if (of->asked.grade_doubted)
        add_grade_doubt(into, of);
    else if (of->asked.air_doubted)
        text_addf(into,
                  "; the service air is given as %.0f K colder than the bench: check both "
                  "temperatures",
                  of->job->board.ambient_c - of->job->board.service_ambient_c);
    else
        text_addf(into, "; by its years the board ran %s h: find out which is right",
                  number_told(round(job_hours_doubted(of->job))).bytes);
}

static void tell_leave(text *into, const part_context *of, detail depth)
{
    add_heat(into, of, depth);
    if (of->asked.no_law) {
        add_meter_fine(into, of, "; the");
        return;
    }
    if (!of->asked.past_seal) {
        text_add(into, ", ");
        add_left(into, of);
        add_meter_fine(into, of, ";");
        return;
    }
    text_add(into, "; ");
    add_age(into, of);
    if (of->found.fine)
        add_meter_fine(into, of, ", but the");
    else
        text_add(into, ", but little worn");
}

typedef void (*teller)(text *into, const part_context *of, detail depth);

static const teller tellers[] = {
    [SF_RULE_EVIDENCE] = tell_evidence,   [SF_RULE_CRITICAL] = tell_critical,
    [SF_RULE_PAST_LIFE] = tell_past_life, [SF_RULE_DOUBT] = tell_doubt,
    [SF_RULE_MEASURE] = tell_measure,     [SF_RULE_UNREAD] = tell_unread,
    [SF_RULE_DOUBTED] = tell_doubted,     [SF_RULE_LEAVE] = tell_leave,
};

char *reason_write(const part_context *of)
{
    text line = {0};
    for (int depth = DETAIL_ALL; depth >= DETAIL_LEAST; depth--) {
        text_clear(&line);
        tellers[of->result->rule](&line, of, (detail)depth);
        if (line.length <= REASON_LENGTH)
            break;
    }
    return text_take(&line);
}
