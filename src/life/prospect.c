/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What would become of all parts under a what-if: counts, worn ones to expect, the next to go. */
#include <math.h>
#include <stdlib.h>

#include "core/curve.h"
#include "core/memory.h"
#include "life/decide.h"
#include "life/wear.h"
#include "spotfield/life.h"

/* --- one part, its past and its hours to come as one history --- */

/* A board that is asked about; all borrowed. */
typedef struct prospect_board {
    const sf_job *job;
    const bool *can_read;        /* of cans_read */
    const sf_part_result *today; /* whose trust stays as it is */
} prospect_board;

/* A job of one part that has lived apart from the board. */
typedef struct life_alone {
    sf_job job;
    sf_part part;
    sf_period *periods; /* past, then to come; owned */
    sf_estimate rise_k;
} life_alone;

/* The board's periods, shrunk or stretched to the hours the part has run; at the changed rise that
 * the whole is reckoned with, they keep their own temperature by their load. */
static size_t add_past(sf_period *periods, const history *lived, double past_h, double kept)
{
    size_t count = 0;
    for (size_t i = 0; past_h > 0 && i < lived->count; i++) {
        sf_period past = lived->periods[i];
        past.hours *= past_h / lived->total_h;
        past.load /= kept;
        periods[count++] = past;
    }
    return count;
}

static void renew(sf_part *part, const sf_policy *policy, const sf_board *board, double grade_c)
{
    double assumed_h = grade_c >= 105 ? policy->endurance_105_h : policy->endurance_85_h;
    part->rated_c = fmax(part->rated_c, grade_c);
    part->endurance_h = part->endurance_h > assumed_h ? part->endurance_h : assumed_h;
    part->year = isnan(board->survey_year) ? 0 : (int)board->survey_year;
    part->condition = SF_CONDITION_UNKNOWN;
    part->measured_uf = part->measured_esr_ohm = part->leakage_ua = NAN;
    /* as if made for what it carries: the new rating is not known */
    part->ripple_a = part->working_v = NAN;
}

static void age_board(sf_board *board, double hours)
{
    if (hours > 0 && board->hours_per_year > 0)
        board->survey_year += hours / board->hours_per_year;
    if (!isnan(board->service_goal_h))
        board->service_goal_h = fmax(board->service_goal_h - hours, 0);
}

/* An assumed endurance is today's, whatever meter readings of other parts made of it. */
static void keep_endurance(sf_policy *policy, const sf_part_result *today)
{
    policy->endurance_by_meter = 0;
    if (!today->endurance_assumed)
        return;
    policy->endurance_85_h = policy->endurance_105_h = today->endurance_h;
    policy->endurance_sd = today->endurance_sd;
}

/* Sets up all but what hours have passed. */
static void stand_alone(life_alone *set, const prospect_board *of, size_t index,
                        const sf_what_if *asked, double kept, bool renewed)
{
    const sf_job *job = of->job;
    const sf_part_result *today = &of->today[index];
    set->job = *job;
    set->part = job->parts[index];
    if (renewed)
        renew(&set->part, &job->policy, &job->board, asked->grade_c);
    else
        keep_endurance(&set->job.policy, today);
    set->job.board.service_ambient_c += asked->air_k;
    if (set->part.year > 0 || renewed)
        set->job.board.made_year = set->part.year;
    age_board(&set->job.board, asked->hours);
    set->job.parts = &set->part;
    set->job.part_count = 1;
    set->rise_k.value *= kept;
    set->rise_k.sd *= kept;
}

/* Puts past and future into one history; false when memory is short. */
static bool pass_hours(life_alone *set, const history *lived, run_time ran, double hours,
                       double kept)
{
    double total_h = ran.hours + hours;
    sf_board *board = &set->job.board;
    set->periods = array_new(lived->count + 1, sizeof *set->periods);
    if (!set->periods)
        return false;
    size_t count = add_past(set->periods, lived, ran.hours, kept);
    if (hours > 0)
        set->periods[count++] = (sf_period){hours, board->service_ambient_c, 1, NULL};
    set->job.periods = set->periods;
    set->job.period_count = count;
    /* only hours that have passed are in doubt */
    board->run_hours = total_h;
    board->run_hours_sd = ran.hours * ran.sd;
    set->part.hours = total_h > 0 ? (double)NAN : 0;
    return true;
}

/* The decision where so much of the rise stays for sure. */
static sf_status decide_at(const prospect_board *of, size_t index, sf_estimate rise_k,
                           const sf_what_if *asked, double kept, bool renewed,
                           sf_part_result *result)
{
    const sf_job *job = of->job;
    history lived;
    history_start(&lived, job);
    run_time ran = part_run_time(job, &job->parts[index]);
    if (renewed)
        ran = (run_time){0, 0, HOURS_GIVEN};
    life_alone set = {.rise_k = rise_k};
    stand_alone(&set, of, index, asked, kept, renewed);
    if (ran.source != HOURS_UNKNOWN && !pass_hours(&set, &lived, ran, asked->hours, kept))
        return SF_ERROR_MEMORY;
    sf_part_result *decided = NULL;
    sf_status status = parts_decide(&set.job, &set.rise_k, &of->can_read[index],
                                    &of->today[index].trust, &decided);
    if (status == SF_OK)
        *result = *decided;
    free(decided); /* the reason goes with the result */
    free(set.periods);
    return status;
}

/* The rules once more, for chances that are no longer those of one decision. */
static sf_status rule_again(const prospect_board *of, size_t index, const sf_what_if *asked,
                            bool renewed, sf_part_result *result)
{
    meter with;
    life_alone set = {0};
    stand_alone(&set, of, index, asked, 1, renewed);
    sf_status status = meter_judge(of->job, &with);
    if (status != SF_OK)
        return status;
    evidence found;
    rule_tell(&set.job, &set.part, &with, &found, result);
    return SF_OK;
}

/* Decides one part of the job under a what-if, `index` of it; `renewed`: a new part of the
 * what-if's grade stands there from today on. On SF_OK result->reason is freed with
 * free(); NULL where the share of the rise that stays is in doubt. */
static sf_status prospect_part(const prospect_board *of, size_t index, sf_estimate rise_k,
                               const sf_what_if *asked, bool renewed, sf_part_result *result)
{
    sf_estimate share = asked->rise_shares ? asked->rise_shares[index] : (sf_estimate){1, 0};
    sf_status status = decide_at(of, index, rise_k, asked, share.value, renewed, result);
    if (status != SF_OK || !(share.sd > 0) || asked->hours == 0)
        return status;
    free(result->reason);
    result->reason = NULL;
    double past_life = 0, worn_out = 0;
    for (size_t i = 0; i < NORMAL_NODES; i++) {
        sf_part_result other;
        double kept = fmin(share.value * exp(normal_nodes[i].place * share.sd / share.value), 1);
        status = decide_at(of, index, rise_k, asked, kept, renewed, &other);
        if (status != SF_OK)
            return status;
        free(other.reason);
        past_life += normal_nodes[i].weight * other.past_life;
        worn_out += normal_nodes[i].weight * other.worn_out;
    }
    result->past_life = past_life;
    result->worn_out = worn_out;
    return rule_again(of, index, asked, renewed, result);
}

static bool what_if_holds(const sf_job *job, const sf_what_if *asked)
{
    if (!isfinite(asked->air_k) || !(asked->hours >= 0 && isfinite(asked->hours)))
        return false;
    for (size_t i = 0; asked->rise_shares && i < job->part_count; i++)
        if (!(asked->rise_shares[i].value > 0 && asked->rise_shares[i].value <= 1 &&
              asked->rise_shares[i].sd >= 0 && isfinite(asked->rise_shares[i].sd)))
            return false;
    return true;
}

/* Where this part is the next of those in place to use up its life, it is noted. */
static void note_next(sf_prospect *into, const sf_part_result *today, size_t part)
{
    bool stays = today->verdict != SF_REPLACE && today->used < 1;
    if (!stays || !(isnan(into->next_h) || today->left_h < into->next_h))
        return;
    into->next_h = today->left_h;
    into->next_part = part;
}

static bool is_renewed(const sf_what_if *asked, sf_verdict today)
{
    return !isnan(asked->grade_c) && today == SF_REPLACE;
}

static sf_status add_part(const prospect_board *of, size_t index, sf_estimate rise_k,
                          const sf_what_if *asked, sf_verdict today, sf_prospect *into)
{
    bool renewed = is_renewed(asked, today);
    sf_what_if at_once = *asked;
    sf_part_result start = {0}, end = {0};
    at_once.hours = 0;
    sf_status status = prospect_part(of, index, rise_k, &at_once, renewed, &start);
    if (status == SF_OK)
        status = prospect_part(of, index, rise_k, asked, renewed, &end);
    free(start.reason);
    free(end.reason);
    if (status != SF_OK)
        return status;
    note_next(into, &start, index);
    into->verdicts[end.verdict]++;
    if (!isnan(sf_life_doubling_k(of->job->parts[index].type)))
        into->worn_out += end.worn_out;
    return SF_OK;
}

sf_status sf_parts_prospect(const sf_job *job, const sf_estimate *rises_k,
                            const sf_part_result *results, const sf_what_if *asked,
                            sf_prospect *prospect)
{
    sf_prospect found = {.next_h = NAN, .next_years = NAN, .next_part = (size_t)-1};
    if (!what_if_holds(job, asked))
        return SF_ERROR_ARGUMENT;
    bool *can_read = cans_read(job);
    prospect_board of = {job, can_read, results};
    sf_status status = can_read ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < job->part_count; i++)
        status = add_part(&of, i, rises_k[i], asked, results[i].verdict, &found);
    free(can_read);
    if (status != SF_OK)
        return status;
    if (job->board.hours_per_year > 0)
        found.next_years = found.next_h / job->board.hours_per_year;
    *prospect = found;
    return SF_OK;
}

sf_status sf_parts_later(const sf_job *job, const sf_estimate *rises_k,
                         const sf_part_result *results, const sf_what_if *asked,
                         sf_part_result **later)
{
    *later = NULL;
    if (!what_if_holds(job, asked))
        return SF_ERROR_ARGUMENT;
    bool *can_read = cans_read(job);
    prospect_board of = {job, can_read, results};
    sf_part_result *found = array_new(job->part_count, sizeof *found);
    sf_status status = can_read && found ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < job->part_count; i++)
        status = prospect_part(&of, i, rises_k[i], asked, is_renewed(asked, results[i].verdict),
                               &found[i]);
    free(can_read);
    if (status == SF_OK)
        *later = found;
    else
        sf_part_results_free(found, job->part_count);
    return status;
}
