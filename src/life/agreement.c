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
