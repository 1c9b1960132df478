/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The order: parts to replace, alike ones together, with the grade that reaches the goal. */
#include <math.h>
#include <stdlib.h>

#include "core/digits.h"
#include "core/memory.h"
#include "core/text.h"
#include "life/order.h"
#include "life/owner_words.h"
#include "spotfield/life.h"

/* What is fitted new is of this grade, whatever the old one was: common practice, no source. */
#define GRADE_BOUGHT_C 105.0
/* A marking this close to a preferred value is that value. */
#define SAME_WITHIN 0.005
/* Keeps a tenth of twenty from becoming three. */
#define ROUNDING 1e-9

/* Neighbours in the sorted list that make one line. */
typedef struct batch {
    const sf_job *job;
    const replacement *parts;
    size_t count;
} batch;

static double batch_old_grade(const batch *alike)
{
    double highest_c = 0;
    for (size_t i = 0; i < alike->count; i++)
        highest_c = fmax(highest_c, alike->parts[i].part->rated_c);
    return highest_c;
}

/* Of those that are marked, the longest in hours; 0 for none. Hours at 85 C count like hours at
 * 105 C, so that the buyer never gets fewer. */
static double batch_old_endurance(const batch *alike)
{
    double longest_h = 0;
    for (size_t i = 0; i < alike->count; i++)
        longest_h = fmax(longest_h, alike->parts[i].part->endurance_h);
    return longest_h;
}

double needed_endurance_h(const sf_job *job, const sf_part *part, const sf_part_result *result,
                          double grade_c)
{
    const sf_policy *policy = &job->policy;
    double life_per_hour = sf_life_hours_by(sf_life_doubling_k(part->type), 1, grade_c,
                                            result->temp_c, policy->life_floor_c);
    double goal_h = job->board.service_goal_h * policy->kit_margin;
    return goal_h * part->duty / fmin(result->ripple_factor, 1) / life_per_hour;
}

/* At the position that asks most. */
static double batch_needed_endurance(const batch *alike, double grade_c)
{
    double most_h = 0;
    for (size_t i = 0; i < alike->count; i++)
        most_h = fmax(most_h, needed_endurance_h(alike->job, alike->parts[i].part,
                                                 alike->parts[i].result, grade_c));
    return most_h;
}

static void note(text *notes, const char *words)
{
    text_add(notes, notes->length > 0 ? "; " : "");
    text_add(notes, words);
}

/* Never a lower grade or fewer hours than the old one; what the goal needs, at least what is common
 * at the grade. */
static void choose_grade(const batch *alike, sf_kit_line *line, text *notes)
{
    const sf_policy *policy = &alike->job->policy;
    line->rated_c = batch_old_grade(alike);
    line->endurance_h = NAN;
    if (isnan(sf_life_doubling_k(line->type)))
        return;
    line->rated_c = fmax(line->rated_c, GRADE_BOUGHT_C);
    double needed_h = batch_needed_endurance(alike, line->rated_c);
    double least_h = fmax(batch_old_endurance(alike), policy->endurance_105_h);
    line->endurance_h = common_endurance(fmax(needed_h, least_h));
    if (isnan(line->endurance_h))
        line->endurance_h = fmax(longest_endurance(), least_h);
    if (isnan(alike->job->board.service_goal_h))
        note(notes, "no service goal: endurance not below the old one's");
    if (needed_h > line->endurance_h) {
        note(notes, "no common endurance reaches the goal: expect ");
        add_hours(notes, alike->job->board.service_goal_h * policy->kit_margin * line->endurance_h /
                             needed_h);
    }
}

/* Ripple and ESR of the old parts, which the new one must carry. */
static void choose_current(const batch *alike, sf_kit_line *line)
{
    line->ripple_a_min = line->esr_ohm_max = NAN;
    for (size_t i = 0; i < alike->count; i++) {
        const sf_part *part = alike->parts[i].part;
        line->ripple_a_min = fmax(line->ripple_a_min, fmax(part->rated_ripple_a, part->ripple_a));
        line->esr_ohm_max = fmin(line->esr_ohm_max, part->esr_limit_ohm);
    }
}

/* The lowest, which fits at each position. */
static double batch_height(const batch *alike)
{
    double lowest_mm = NAN;
    for (size_t i = 0; i < alike->count; i++)
        lowest_mm = fmin(lowest_mm, alike->parts[i].part->height_mm);
    return lowest_mm;
}

/* Tells an old marking that differs from what is bought; false where it does not. */
static bool note_change(text *notes, double old, double bought, const char *unit)
{
    if (!(fabs(bought - old) > SAME_WITHIN * old))
        return false;
    note(notes, "replaces ");
    add_quantity(notes, old);
    text_add(notes, unit);
    return true;
}

static void note_changes(const batch *alike, text *notes)
{
    bool value_told = false, voltage_told = false;
    for (size_t i = 0; i < alike->count; i++) {
        const replacement *one = &alike->parts[i];
        if (!value_told)
            value_told =
                note_change(notes, one->part->capacitance_uf, one->line.capacitance_uf, " uF");
        if (!voltage_told)
            voltage_told = note_change(notes, one->part->rated_v, one->line.rated_v, " V");
    }
}

static void note_gaps(const sf_kit_line *line, text *notes)
{
    if (isnan(line->capacitance_uf))
        note(notes, "value unknown: take it from the schematic");
    if (isnan(line->rated_v))
        note(notes, "voltage unknown: take it from the schematic");
    if (isnan(line->height_mm_max))
        note(notes, "height unknown: check the headroom");
}

static void add_measure(text *into, const char *before, double value, const char *unit)
{
    if (!isnan(value))
        text_addf(into, "%s%s%s", before, number_told(value).bytes, unit);
}

char *kit_line_describe(const sf_kit_line *line)
{
    static const char *const names[SF_TYPE_COUNT] = {
        [SF_TYPE_ALUMINIUM] = "Aluminium electrolytic capacitor",
        [SF_TYPE_BIPOLAR] = "Bipolar aluminium electrolytic capacitor",
        [SF_TYPE_POLYMER] = "Aluminium polymer capacitor",
        [SF_TYPE_HYBRID] = "Hybrid polymer aluminium capacitor",
        [SF_TYPE_TANTALUM] = "Tantalum capacitor",
        [SF_TYPE_FILM] = "Film capacitor"};
    text made = {0};
    text_add(&made, names[line->type]);
    if (line->mount != SF_FORM_UNKNOWN)
        text_addf(&made, ", %s", sf_form_text(line->mount));
    add_measure(&made, ", ", line->capacitance_uf, " uF");
    add_measure(&made, ", ", line->rated_v, " V");
    add_measure(&made, ", ", line->rated_c, " C");
    add_measure(&made, ", at least ", line->endurance_h, " h");
    add_measure(&made, ", at most ", line->diameter_mm_max, " mm wide");
    add_measure(&made, ", at most ", line->height_mm_max, " mm high");
    add_measure(&made, ", pitch ", line->lead_pitch_mm, " mm");
    add_measure(&made, ", ripple at least ", line->ripple_a_min, " A");
    add_measure(&made, ", ESR at most ", line->esr_ohm_max, " ohm");
    text_add(&made, line->low_esr ? ", low ESR" : "");
    return text_take(&made);
}

static char *batch_refs(const batch *alike)
{
    text refs = {0};
    for (size_t i = 0; i < alike->count; i++) {
        text_add(&refs, i > 0 ? " " : "");
        text_add(&refs, alike->parts[i].part->ref);
    }
    return text_take(&refs);
}

size_t kit_spares(size_t count, double spare_pct)
{
    return (size_t)ceil((double)count * spare_pct / 100 - ROUNDING);
}

/* Fills a line; its texts are the line's also on failure. */
static sf_status write_line(const batch *alike, sf_kit_line *line)
{
    text notes = {0};
    *line = alike->parts[0].line;
    line->height_mm_max = batch_height(alike);
    line->count = alike->count;
    line->spares = kit_spares(line->count, alike->job->policy.kit_spare_pct);
    choose_grade(alike, line, &notes);
    choose_current(alike, line);
    note_changes(alike, &notes);
    note_gaps(line, &notes);
    line->note = text_take(&notes);
    line->refs = batch_refs(alike);
    line->description = kit_line_describe(line);
    return line->note && line->refs && line->description ? SF_OK : SF_ERROR_MEMORY;
}

/* Lists what becomes of each part to replace, and counts the verdicts. */
static size_t gather(const sf_job *job, const sf_part_result *results, replacement *list,
                     sf_kit *kit)
{
    size_t count = 0;
    for (size_t i = 0; i < job->part_count; i++) {
        const sf_part *part = &job->parts[i];
        kit->left += results[i].verdict == SF_LEAVE;
        kit->checked += results[i].verdict == SF_CHECK;
        if (results[i].verdict != SF_REPLACE)
            continue;
        double least_v = part->working_v > part->rated_v ? part->working_v : part->rated_v;
        list[count++] =
            (replacement){part,
                          &results[i],
                          {.capacitance_uf = preferred_capacitance(part->capacitance_uf),
                           .rated_v = preferred_voltage(least_v),
                           .diameter_mm_max = part->diameter_mm,
                           .type = part->type,
                           .low_esr = part->low_esr,
                           .mount = part->mount,
                           .lead_pitch_mm = part->lead_pitch_mm}};
    }
    kit->replaced = count;
    replacements_sort(list, count);
    return count;
}

static size_t batch_end(const replacement *list, size_t start, size_t count)
{
    size_t end = start + 1;
    while (end < count && kit_line_compare(&list[start].line, &list[end].line) == 0)
        end++;
    return end;
}

static sf_status write_lines(const sf_job *job, const replacement *list, size_t count, sf_kit *kit)
{
    kit->lines = array_new(count, sizeof *kit->lines);
    if (!kit->lines)
        return SF_ERROR_MEMORY;
    sf_status status = SF_OK;
    for (size_t start = 0, end; start < count && status == SF_OK; start = end) {
        end = batch_end(list, start, count);
        batch alike = {job, &list[start], end - start};
        status = write_line(&alike, &kit->lines[kit->count++]);
    }
    return status;
}

sf_status sf_kit_make(const sf_job *job, const sf_part_result *results, sf_kit **kit)
{
    *kit = NULL;
    sf_kit *made = array_new(1, sizeof *made);
    replacement *list = array_new(job->part_count, sizeof *list);
    sf_status status = SF_ERROR_MEMORY;
    if (made && list)
        status = write_lines(job, list, gather(job, results, list, made), made);
    free(list);
    if (status == SF_OK)
        *kit = made;
    else
        sf_kit_free(made);
    return status;
}

void sf_kit_free(sf_kit *kit)
{
    if (!kit)
        return;
    kit_lines_clear(kit);
    free(kit);
}
