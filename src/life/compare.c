/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Two surveys of one board: the change of the rise on the grid and under each part. */
#include <math.h>
#include <stdlib.h>

#include "core/diagnose.h"
#include "core/geometry.h"
#include "core/memory.h"
#include "core/text.h"
#include "life/compare_parts.h"
#include "spotfield/compare.h"

/* What a ruler and a sketch may be off by; our choice. */
#define SIZE_DIFFERS_MM 2.0
#define PLACE_DIFFERS_MM 5.0
enum { REFS_NAMED = 8 };

static const char *const change_texts[SF_CHANGE_COUNT] = {
    [SF_CHANGE_UNKNOWN] = "",
    [SF_CHANGE_DOUBTFUL] = "within uncertainty",
    [SF_CHANGE_HOTTER] = "hotter",
    [SF_CHANGE_COOLER] = "cooler",
};

static const char *const finding_texts[SF_METER_COUNT] = {
    [SF_METER_NOTHING] = "",
    [SF_METER_FINE] = "fine",
    [SF_METER_UNDECIDED] = "undecided",
    [SF_METER_WORN] = "worn",
};

const char *sf_change_text(sf_change change)
{
    return (unsigned)change < SF_CHANGE_COUNT ? change_texts[change] : "";
}

const char *sf_meter_finding_text(sf_meter_finding finding)
{
    return (unsigned)finding < SF_METER_COUNT ? finding_texts[finding] : "";
}

/* Both surveys and what is made of them. */
typedef struct comparing {
    const sf_survey *before, *after;
    sf_comparison *made;
    sf_diagnostics *diagnostics;
    double shared; /* share of the readings' own variance that both have in common */
} comparing;

/* A rise in one survey, with what its readings' own errors make of it there. */
typedef struct told_rise {
    sf_estimate rise_k;
    sf_reading_share by_readings;
} told_rise;

/* What is left of the variance when its readings' shared part is taken out. */
static double apart_k2(const told_rise *of, double shared)
{
    double whole_k2 = of->rise_k.sd * of->rise_k.sd;
    return fmax(whole_k2 - shared * of->by_readings.independent_k2, (1 - shared) * whole_k2);
}

/* After minus before. Of the variance of each error that readings have together a share is the same
 * in both surveys. It moves the two fields alike where they weigh their readings alike, and only
 * what it moves them apart stays in the difference:
 * sd^2 = sum of both (sd_s^2 - c own_s) + c sum over errors (pull_after - pull_before)^2. */
static sf_estimate difference(const told_rise *before, const told_rise *after, double shared)
{
    double sum_k2 = apart_k2(before, shared) + apart_k2(after, shared);
    for (int common = 0; common < SF_COMMON_COUNT; common++) {
        double apart_k =
            after->by_readings.common_shift_k[common] - before->by_readings.common_shift_k[common];
        sum_k2 += shared * apart_k * apart_k;
    }
    return (sf_estimate){after->rise_k.value - before->rise_k.value, sqrt(sum_k2)};
}

/* --- whether the boards are one --- */

static sf_status check_sizes(const comparing *of)
{
    const sf_board *before = &of->before->job->board, *after = &of->after->job->board;
    if (fabs(before->width_mm - after->width_mm) <= SIZE_DIFFERS_MM &&
        fabs(before->height_mm - after->height_mm) <= SIZE_DIFFERS_MM)
        return SF_OK;
    char *what = text_format("%g x %g mm before, %g x %g mm after", before->width_mm,
                             before->height_mm, after->width_mm, after->height_mm);
    sf_diagnose(of->diagnostics, SF_ERROR, "board.csv", 0, "width, height",
                what ? what : "another size", "two surveys of one board, sizes within 2 mm");
    free(what);
    return SF_ERROR_DATA;
}

/* "3 parts ...: C1 C2 C3"; SF_ERROR_MEMORY. */
static sf_status warn_parts(const comparing *of, const char *which, size_t count, const text *refs)
{
    if (count == 0)
        return SF_OK;
    char *what = refs->failed ? NULL
                              : text_format("%zu part%s %s:%s%s", count, count == 1 ? "" : "s",
                                            which, refs->bytes, count > REFS_NAMED ? " ..." : "");
    return diagnose_taking(of->diagnostics, SF_WARNING, "parts.csv", 0, "ref", what, "");
}

static const sf_part *part_in(const sf_survey *survey, size_t index)
{
    return index == SF_NO_PART ? NULL : &survey->job->parts[index];
}

/* Whether something about a pair is to be told. */
typedef bool pair_test(const sf_part *before, const sf_part *after);

static bool only_before(const sf_part *before, const sf_part *after)
{
    return before && !after;
}

static bool only_after(const sf_part *before, const sf_part *after)
{
    return !before && after;
}

static bool has_moved(const sf_part *before, const sf_part *after)
{
    return before && after &&
           hypot(after->x_mm - before->x_mm, after->y_mm - before->y_mm) > PLACE_DIFFERS_MM;
}

static sf_status warn_where(const comparing *of, pair_test *holds, const char *which)
{
    text refs = {0};
    size_t count = 0;
    for (size_t i = 0; i < of->made->part_count; i++) {
        const sf_part *before = part_in(of->before, of->made->parts[i].before);
        const sf_part *after = part_in(of->after, of->made->parts[i].after);
        if (holds(before, after) && count++ < REFS_NAMED)
            text_addf(&refs, " %s", before ? before->ref : after->ref);
    }
    sf_status status = warn_parts(of, which, count, &refs);
    text_clear(&refs);
    return status;
}

static sf_status check_parts(const comparing *of)
{
    sf_status status = warn_where(of, only_before, "in the first survey only");
    if (status == SF_OK)
        status = warn_where(of, only_after, "in the second survey only");
    if (status == SF_OK)
        status = warn_where(of, has_moved, "more than 5 mm away from the first survey's place");
    return status;
}

/* --- the grid --- */

static sf_status tell_rise(const sf_survey *survey, double x_mm, double y_mm, told_rise *told)
{
    told->by_readings = sf_field_reading_share(survey->field, x_mm, y_mm);
    return sf_field_at(survey->field, x_mm, y_mm, &told->rise_k);
}

/* At a place that is board in both. */
static sf_status change_at_place(const void *context, sf_point at, sf_heat_change *found)
{
    const comparing *of = context;
    told_rise before, after;
    sf_status status = tell_rise(of->before, at.x_mm, at.y_mm, &before);
    if (status == SF_OK)
        status = tell_rise(of->after, at.x_mm, at.y_mm, &after);
    if (status != SF_OK)
        return status;
    found->before_k = before.rise_k;
    found->after_k = after.rise_k;
    found->change_k = difference(&before, &after, of->shared);
    found->change = change_judge(found->change_k);
    return SF_OK;
}

/* The change at a cell of the first survey's grid; NAN where it is not board in both. */
static sf_status change_at_cell(const comparing *of, size_t cell, sf_heat_change *found)
{
    sf_grid grid = sf_field_grid(of->before->field);
    const sf_job *job = of->after->job;
    double x_mm = ((double)(cell % grid.columns) + 0.5) * grid.cell_mm;
    double y_mm = ((double)(cell / grid.columns) + 0.5) * grid.cell_mm;
    found->change_k = (sf_estimate){NAN, NAN};
    if (!grid.inside[cell] || !board_contains(job->rings, job->ring_count, x_mm, y_mm))
        return SF_OK;
    return change_at_place(of, (sf_point){x_mm, y_mm}, found);
}

static void count_cell(sf_comparison *into, const sf_heat_change *found)
{
    double cell_mm2 = into->grid.cell_mm * into->grid.cell_mm;
    into->area_mm2 += cell_mm2;
    into->hotter_mm2 += found->change == SF_CHANGE_HOTTER ? cell_mm2 : 0;
    into->cooler_mm2 += found->change == SF_CHANGE_COOLER ? cell_mm2 : 0;
    into->mean_change_k += found->change_k.value * cell_mm2;
}

static sf_status make_room(sf_comparison *made, sf_grid grid)
{
    size_t cells = grid.columns * grid.rows;
    made->grid = grid;
    made->grid.inside = array_new(cells, 1);
    made->change_k = array_new(cells, sizeof *made->change_k);
    made->change_sd_k = array_new(cells, sizeof *made->change_sd_k);
    return made->grid.inside && made->change_k && made->change_sd_k ? SF_OK : SF_ERROR_MEMORY;
}

/* The mean of the area summed so far; where there is none, that is told. */
static sf_status end_grid(const comparing *of, size_t outside_after)
{
    sf_comparison *made = of->made;
    if (!(made->area_mm2 > 0)) {
        sf_diagnose(of->diagnostics, SF_ERROR, "outline.csv", 0, "",
                    "no place is board in both surveys", "two surveys of one board");
        return SF_ERROR_DATA;
    }
    made->mean_change_k /= made->area_mm2;
    double outside_mm2 = (double)outside_after * made->grid.cell_mm * made->grid.cell_mm;
    if (outside_mm2 <= 0.05 * made->area_mm2)
        return SF_OK;
    return sf_diagnose(
        of->diagnostics, SF_WARNING, "outline.csv", 0, "",
        "more than 5 % of the first survey's board lies outside the second's outline", "");
}

static sf_status compare_cells(const comparing *of)
{
    sf_comparison *made = of->made;
    size_t outside_after = 0;
    sf_grid grid = sf_field_grid(of->before->field);
    sf_status status = make_room(made, grid);
    unsigned char *inside = (unsigned char *)made->grid.inside; /* our own, just made */
    for (size_t i = 0; status == SF_OK && i < grid.columns * grid.rows; i++) {
        sf_heat_change found;
        status = change_at_cell(of, i, &found);
        if (status != SF_OK)
            break;
        inside[i] = !isnan(found.change_k.value);
        made->change_k[i] = found.change_k.value;
        made->change_sd_k[i] = found.change_k.sd;
        outside_after += grid.inside[i] && !inside[i];
        if (inside[i])
            count_cell(made, &found);
    }
    return status == SF_OK ? end_grid(of, outside_after) : status;
}

/* --- the parts --- */

static sf_status rise_at(const sf_survey *survey, size_t index, told_rise *told, double *temp_c)
{
    const sf_part *part = part_in(survey, index);
    *told = (told_rise){.rise_k = {NAN, NAN}};
    *temp_c = NAN;
    if (!part)
        return SF_OK;
    sf_status status = tell_rise(survey, part->x_mm, part->y_mm, told);
    *temp_c = told->rise_k.value + survey->job->board.service_ambient_c +
              survey->job->policy.cover_rise_k;
    return status;
}

static sf_status compare_part(const comparing *of, sf_part_change *pair)
{
    told_rise before, after;
    sf_status status = rise_at(of->before, pair->before, &before, &pair->temp_before_c);
    if (status == SF_OK)
        status = rise_at(of->after, pair->after, &after, &pair->temp_after_c);
    if (status != SF_OK)
        return status;
    pair->rise_before_k = before.rise_k;
    pair->rise_after_k = after.rise_k;
    pair->change_k = difference(&before, &after, of->shared);
    pair->change = change_judge(pair->change_k);
    of->made->changes[pair->change]++;
    return status;
}

static sf_status find_agreement(const comparing *of)
{
    const sf_job *job = of->before->job;
    sf_comparison *made = of->made;
    sf_estimate *rises_k = array_new(job->part_count, sizeof *rises_k);
    if (!rises_k)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < job->part_count; i++)
        rises_k[i] = made->parts[i].rise_before_k; /* pairs begin with the first survey's parts */
    sf_status status = agreement_find(job, of->after->job, rises_k, made->parts, made->part_count,
                                      &made->agreement);
    free(rises_k);
    return status;
}

static sf_status compare_parts(const comparing *of)
{
    sf_comparison *made = of->made;
    const sf_job *before = of->before->job, *after = of->after->job;
    made->parts = array_new(before->part_count + after->part_count, sizeof *made->parts);
    if (!made->parts)
        return SF_ERROR_MEMORY;
    sf_status status = matched_parts_pair(before, after, made->parts, &made->part_count);
    for (size_t i = 0; status == SF_OK && i < made->part_count; i++)
        status = compare_part(of, &made->parts[i]);
    if (status == SF_OK)
        status = check_parts(of);
    return status == SF_OK ? find_agreement(of) : status;
}

sf_status sf_surveys_compare(const sf_survey *before, const sf_survey *after,
                             sf_comparison **comparison, sf_diagnostics *diagnostics)
{
    *comparison = NULL;
    double shared_pct = fmin(before->job->policy.shared_pct, after->job->policy.shared_pct);
    comparing of = {before, after, array_new(1, sizeof(sf_comparison)), diagnostics,
                    shared_pct / 100};
    if (!of.made)
        return SF_ERROR_MEMORY;
    of.made->shared = of.shared;
    sf_status status = check_sizes(&of);
    if (status == SF_OK)
        status = compare_cells(&of);
    if (status == SF_OK)
        status = compare_parts(&of);
    if (status == SF_OK)
        status = heat_changes_find(before, after, change_at_place, &of, of.made);
    if (status == SF_OK)
        *comparison = of.made;
    else
        sf_comparison_free(of.made);
    return status;
}

void sf_comparison_free(sf_comparison *comparison)
{
    if (!comparison)
        return;
    free((void *)comparison->grid.inside);
    free(comparison->change_k);
    free(comparison->change_sd_k);
    free(comparison->parts);
    free(comparison->sources);
    free(comparison->readings);
    free(comparison);
}
