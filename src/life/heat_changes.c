/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What became hotter need not stand where a capacitor does. */
#include "life/compare_parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "core/memory.h"

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
