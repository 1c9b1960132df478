/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which part of one survey is which of another, what heat alone had said of each, what the meter
 * says, and how often the two agree. */
#include "life/compare_parts.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "life/evidence.h"
#include "life/wear.h"
#include "spotfield/compare.h"

/* --- pairing, by binary search in the sorted references of the second survey --- */

static int compare_refs(const void *one, const void *other)
{
    const sf_part *const *a = one, *const *b = other;
    return strcmp((*a)->ref, (*b)->ref);
}

static const sf_part **sorted_parts(const sf_job *job)
{
    const sf_part **parts = array_new(job->part_count, sizeof *parts);
    for (size_t i = 0; parts && i < job->part_count; i++)
        parts[i] = &job->parts[i];
    if (parts)
        qsort(parts, job->part_count, sizeof *parts, compare_refs);
    return parts;
}

static size_t find_twin(const sf_part *part, const sf_job *in, const sf_part **sorted)
{
    const sf_part **found = bsearch(&part, sorted, in->part_count, sizeof *sorted, compare_refs);
    return found ? (size_t)(*found - in->parts) : SF_NO_PART;
}

static void pair_all(const sf_job *before, const sf_job *after, const sf_part **sorted,
                     bool *paired, sf_part_change *pairs, size_t *count)
{
    for (size_t i = 0; i < before->part_count; i++) {
        size_t twin = find_twin(&before->parts[i], after, sorted);
        pairs[(*count)++] = (sf_part_change){.before = i, .after = twin};
        if (twin != SF_NO_PART)
            paired[twin] = true;
    }
    for (size_t i = 0; i < after->part_count; i++)
        if (!paired[i])
            pairs[(*count)++] = (sf_part_change){.before = SF_NO_PART, .after = i};
}

sf_status matched_parts_pair(const sf_job *before, const sf_job *after, sf_part_change *pairs,
                             size_t *count)
{
    *count = 0;
    const sf_part **sorted = sorted_parts(after);
    bool *paired = array_new(after->part_count, sizeof *paired);
    bool whole = sorted && paired;
    if (whole)
        pair_all(before, after, sorted, paired, pairs, count);
    free(sorted);
    free(paired);
    return whole ? SF_OK : SF_ERROR_MEMORY;
}

sf_status sf_proportion_interval(size_t successes, size_t trials, double confidence, double *low,
                                 double *high)
{
    if (trials == 0 || successes > trials || !(confidence > 0 && confidence < 1))
        return SF_ERROR_ARGUMENT;
    double tail = (1 - confidence) / 2;
    double hits = (double)successes, misses = (double)(trials - successes);
    double from = hits > 0 ? gsl_cdf_beta_Pinv(tail, hits, misses + 1) : 0;
    double to = misses > 0 ? gsl_cdf_beta_Qinv(tail, hits + 1, misses) : 1;
    if (!gsl_finite(from) || !gsl_finite(to))
        return SF_ERROR_NUMERIC;
    *low = from;
    *high = to;
    return SF_OK;
}

#define CONFIDENCE 0.95

/* --- heat alone --- */

static void blind_part(sf_part *part)
{
    part->measured_uf = NAN;
    part->measured_esr_ohm = NAN;
    part->leakage_ua = NAN;
    part->condition = SF_CONDITION_UNKNOWN;
    part->critical = false; /* tells what a failure would cost, not whether there is one */
}

/* Decides the first survey as if no part had been measured or looked at. */
static sf_status decide_blind(const sf_job *job, const sf_estimate *rises_k,
                              sf_part_result **results)
{
    sf_job blind = *job;
    blind.parts = array_new(job->part_count, sizeof *blind.parts);
    if (!blind.parts)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < job->part_count; i++) {
        blind.parts[i] = job->parts[i];
        blind_part(&blind.parts[i]);
    }
    sf_status status = sf_parts_decide(&blind, rises_k, results);
    free(blind.parts);
    return status;
}

/* --- the meter --- */

/* One survey at the bench: how its meter is off, and how long its board has run. */
typedef struct decision_context {
    const sf_job *job;
    meter with;
    history lived;
} decision_context;

static sf_status decision_context_open(decision_context *opened, const sf_job *job)
{
    opened->job = job;
    history_start(&opened->lived, job);
    return meter_judge(job, &opened->with);
}

static bool is_pulled(const decision_context *before, const decision_context *after,
                      const sf_part_change *pair)
{
    if (pair->before == SF_NO_PART)
        return false;
    if (pair->after == SF_NO_PART)
        return true;
    const sf_part *old = &before->job->parts[pair->before];
    const sf_part *now = &after->job->parts[pair->after];
    int old_year = part_made_year(&before->job->board, old);
    int year = part_made_year(&after->job->board, now);
    bool younger = old_year > 0 && year > old_year;
    /* comparisons with hours that are not known are false */
    return younger || now->hours < part_run_time(before->job, old).hours;
}

static sf_meter_finding judge(const decision_context *by, const sf_part *part, double *reading_pct)
{
    evidence found = evidence_gather(part, &by->with, &by->job->policy);
    bool leakage_judged = !isnan(part->leakage_ua) && !isnan(found.leakage_limit_ua);
    *reading_pct = found.reading_pct;
    if (isnan(found.reading_pct) && !found.esr_judged && !leakage_judged)
        return SF_METER_NOTHING;
    if (found.worn)
        return SF_METER_WORN;
    return found.doubtful ? SF_METER_UNDECIDED : SF_METER_FINE;
}

static void measure(const decision_context *before, const decision_context *after,
                    sf_part_change *pair)
{
    pair->pulled = is_pulled(before, after, pair);
    pair->reading_pct = NAN;
    if (pair->before == SF_NO_PART)
        return;
    pair->meter = judge(before, &before->job->parts[pair->before], &pair->reading_pct);
    if (pair->meter == SF_METER_NOTHING && !pair->pulled)
        pair->meter = judge(after, &after->job->parts[pair->after], &pair->reading_pct);
}

/* --- the table --- */

static void count_pair(sf_agreement *into, const sf_part_change *pair)
{
    if (!pair->heat_known)
        return;
    into->counts[pair->heat][pair->meter]++;
    into->pulled += pair->pulled && pair->meter != SF_METER_NOTHING;
}

static sf_status sum_up(sf_agreement *table)
{
    size_t(*counts)[SF_METER_COUNT] = table->counts;
    table->agree = counts[SF_REPLACE][SF_METER_WORN] + counts[SF_LEAVE][SF_METER_FINE];
    table->decided =
        table->agree + counts[SF_REPLACE][SF_METER_FINE] + counts[SF_LEAVE][SF_METER_WORN];
    table->low = table->high = NAN;
    if (table->decided == 0)
        return SF_OK;
    return sf_proportion_interval(table->agree, table->decided, CONFIDENCE, &table->low,
                                  &table->high);
}

sf_status agreement_find(const sf_job *before, const sf_job *after, const sf_estimate *rises_k,
                         sf_part_change *pairs, size_t count, sf_agreement *found)
{
    *found = (sf_agreement){0};
    sf_part_result *results = NULL;
    decision_context first, second;
    sf_status status = decision_context_open(&first, before);
    if (status == SF_OK)
        status = decision_context_open(&second, after);
    if (status == SF_OK)
        status = decide_blind(before, rises_k, &results);
    for (size_t i = 0; status == SF_OK && i < count; i++) {
        sf_part_change *pair = &pairs[i];
        pair->heat_known = pair->before != SF_NO_PART &&
                           !isnan(sf_life_doubling_k(before->parts[pair->before].type));
        pair->heat = pair->heat_known ? results[pair->before].verdict : SF_CHECK;
        measure(&first, &second, pair);
        count_pair(found, pair);
    }
    sf_part_results_free(results, before->part_count);
    return status == SF_OK ? sum_up(found) : status;
}

/* --- what became hotter need not stand where a capacitor does --- */

/* A spot is read again within so much; our choice, that of parts. */
#define SAME_SPOT_MM 5.0
/* The slope of the field is taken across so much on each side. */
#define SLOPE_MM 1.0

sf_change change_judge(sf_estimate change_k)
{
    if (isnan(change_k.value))
        return SF_CHANGE_UNKNOWN;
    if (!(fabs(change_k.value) > SF_CHANGE_COVERAGE * change_k.sd))
        return SF_CHANGE_DOUBTFUL;
    return change_k.value > 0 ? SF_CHANGE_HOTTER : SF_CHANGE_COOLER;
}

/* The largest rise first; equal ones by name. */
static int compare_changes(const void *a, const void *b)
{
    const sf_heat_change *left = a, *right = b;
    if (left->change_k.value != right->change_k.value)
        return left->change_k.value < right->change_k.value ? 1 : -1;
    return strcmp(left->ref, right->ref);
}

static bool is_board(const sf_job *job, sf_point at)
{
    return board_contains(job->rings, job->ring_count, at.x_mm, at.y_mm);
}

static const sf_source *source_named(const sf_job *job, const char *ref)
{
    for (size_t i = 0; i < job->source_count; i++)
        if (strcmp(job->sources[i].ref, ref) == 0)
            return &job->sources[i];
    return NULL;
}

static sf_status find_sources(const sf_survey *before, const sf_survey *after, change_at changed,
                              const void *context, sf_comparison *into)
{
    const sf_job *job = before->job;
    sf_status status = SF_OK;
    into->sources = array_new(job->source_count, sizeof *into->sources);
    if (!into->sources)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < job->source_count && status == SF_OK; i++) {
        const sf_source *source = &job->sources[i];
        sf_point at = {source->x_mm, source->y_mm};
        if (!source_named(after->job, source->ref) || !is_board(job, at) ||
            !is_board(after->job, at))
            continue;
        sf_heat_change *found = &into->sources[into->source_count++];
        found->ref = source->ref;
        status = changed(context, at, found);
    }
    return status;
}

static double squared(double value)
{
    return value * value;
}

/* Rise of the field over one millimetre where a reading was taken, K; 0 at the edge. */
static double slope_k(const sf_survey *survey, const sf_observation *of)
{
    static const sf_point ways[] = {{SLOPE_MM, 0}, {0, SLOPE_MM}};
    double sum = 0;
    for (int way = 0; way < 2; way++) {
        sf_point on = {of->x_mm + ways[way].x_mm, of->y_mm + ways[way].y_mm};
        sf_point back = {of->x_mm - ways[way].x_mm, of->y_mm - ways[way].y_mm};
        sf_estimate further, nearer;
        if (is_board(survey->job, on) && is_board(survey->job, back) &&
            sf_field_at(survey->field, on.x_mm, on.y_mm, &further) == SF_OK &&
            sf_field_at(survey->field, back.x_mm, back.y_mm, &nearer) == SF_OK)
            sum += squared((further.value - nearer.value) / (2 * SLOPE_MM));
    }
    return sqrt(sum);
}

/* Own errors add; of the common ones the shared part counts where it weighs differently. The ruler
 * errs each time. */
static double change_sd(const sf_survey *survey, const sf_observation *before,
                        const sf_observation *after, double shared)
{
    double ruler_k = slope_k(survey, before) * survey->job->policy.position_sd_mm;
    double sum = squared(before->sd_k) + squared(after->sd_k) + 2 * squared(ruler_k);
    for (int common = 0; common < SF_COMMON_COUNT; common++) {
        double first = before->common_k[common], second = after->common_k[common];
        sum += shared * (squared(second - first) - squared(first) - squared(second));
    }
    return sqrt(fmax(sum, 0));
}

static const sf_observation *read_again(const sf_survey *survey, const sf_observation *first)
{
    for (size_t i = 0; i < survey->observation_count; i++) {
        const sf_observation *of = &survey->observations[i];
        double away_mm = hypot(of->x_mm - first->x_mm, of->y_mm - first->y_mm);
        if (strcmp(of->id, first->id) == 0 && of->spot == first->spot && away_mm <= SAME_SPOT_MM)
            return of;
    }
    return NULL;
}

static sf_status find_readings(const sf_survey *before, const sf_survey *after, sf_comparison *into)
{
    into->readings = array_new(before->observation_count, sizeof *into->readings);
    if (!into->readings)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < before->observation_count; i++) {
        const sf_observation *first = &before->observations[i];
        const sf_observation *second = read_again(after, first);
        if (!second)
            continue;
        sf_heat_change *found = &into->readings[into->reading_count++];
        *found = (sf_heat_change){.ref = first->id,
                                  .before_k = {first->rise_k, first->sd_k},
                                  .after_k = {second->rise_k, second->sd_k}};
        found->change_k.value = second->rise_k - first->rise_k;
        found->change_k.sd = change_sd(before, first, second, into->shared);
        found->change = change_judge(found->change_k);
    }
    return SF_OK;
}

sf_status heat_changes_find(const sf_survey *before, const sf_survey *after, change_at changed,
                            const void *context, sf_comparison *into)
{
    sf_status status = find_sources(before, after, changed, context, into);
    if (status == SF_OK)
        status = find_readings(before, after, into);
    if (status == SF_OK) {
        qsort(into->sources, into->source_count, sizeof *into->sources, compare_changes);
        qsort(into->readings, into->reading_count, sizeof *into->readings, compare_changes);
    }
    return status;
}
