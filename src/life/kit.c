/* The order: parts to replace, alike ones together, with the grade that reaches the goal. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "core/number.h"
#include "core/text.h"
#include "life/order.h"
#include "life/preferred.h"
#include "life/words.h"
#include "spotfield/life.h"

/* An 85 C part closer than this to its upper category temperature stands hot: common practice,
 * no source. */
#define DERATING_K 20.0
/* Longer endurances at 85 C are common in large cans only. */
#define ENDURANCE_85_MAX_H 2000.0
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

static double batch_hottest(const batch *alike)
{
    double hottest_c = -INFINITY;
    for (size_t i = 0; i < alike->count; i++)
        hottest_c = fmax(hottest_c, alike->parts[i].result->temp_c);
    return hottest_c;
}

static double batch_old_grade(const batch *alike)
{
    double highest_c = 0;
    for (size_t i = 0; i < alike->count; i++)
        highest_c = fmax(highest_c, alike->parts[i].part->rated_c);
    return highest_c;
}

static double batch_old_endurance(const batch *alike)
{
    double longest_h = 0;
    for (size_t i = 0; i < alike->count; i++)
        longest_h = fmax(longest_h, alike->parts[i].result->endurance_h);
    return longest_h;
}

double needed_endurance_h(const sf_job *job, const sf_part *part, const sf_part_result *result,
                          double grade_c)
{
    const sf_policy *policy = &job->policy;
    double life_per_hour = sf_life_hours(1, grade_c, result->temp_c, policy->life_floor_c);
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

/* 105 C but where an old 85 C place is cool and a plain 85 C part reaches the goal. */
static double batch_grade(const batch *alike)
{
    double old_c = batch_old_grade(alike);
    bool cool = old_c <= 85 && batch_hottest(alike) < 85 - DERATING_K;
    if (cool && !(batch_needed_endurance(alike, 85) > ENDURANCE_85_MAX_H))
        return 85;
    return fmax(old_c, 105);
}

static void note(text *notes, const char *words)
{
    text_add(notes, notes->length > 0 ? "; " : "");
    text_add(notes, words);
}

/* An old part marked for longer than what is asked for is told, so that the buyer may match it. */
static void note_longer_old(const batch *alike, const sf_kit_line *line, text *notes)
{
    const replacement *longest = NULL;
    double longest_h = line->endurance_h;
    for (size_t i = 0; i < alike->count; i++) {
        const replacement *one = &alike->parts[i];
        double marked_h = one->part->endurance_h; /* NAN is not longer */
        double at_grade_h =
            sf_life_hours(marked_h, one->part->rated_c, line->rated_c, line->rated_c);
        if (at_grade_h > longest_h * (1 + ROUNDING)) {
            longest = one;
            longest_h = at_grade_h;
        }
    }
    if (!longest)
        return;
    note(notes, "reaches the goal; the old one was marked ");
    number_add_grouped(notes, longest->part->endurance_h);
    text_addf(notes, " h at %g C", longest->part->rated_c);
}

/* The grade, and what there is to say about it. */
static void choose_grade(const batch *alike, sf_kit_line *line, text *notes)
{
    double goal_h = alike->job->board.service_goal_h;
    if (isnan(goal_h)) {
        line->rated_c = batch_old_grade(alike);
        line->endurance_h = batch_old_endurance(alike);
        note(notes, "no service goal: endurance as before");
        return;
    }
    line->rated_c = batch_grade(alike);
    double needed_h = batch_needed_endurance(alike, line->rated_c);
    line->endurance_h = common_endurance(needed_h);
    if (isnan(line->endurance_h)) {
        line->endurance_h = longest_endurance();
        note(notes, "none common reaches the goal: expect ");
        add_hours(notes, goal_h * alike->job->policy.kit_margin * line->endurance_h / needed_h);
        return;
    }
    note_longer_old(alike, line, notes);
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
            value_told = note_change(notes, one->part->capacitance_uf, one->capacitance_uf, " uF");
        if (!voltage_told)
            voltage_told = note_change(notes, one->part->rated_v, one->rated_v, " V");
    }
}

static void note_gaps(const sf_kit_line *line, text *notes)
{
    if (isnan(line->capacitance_uf))
        note(notes, "value unknown: take it from the schematic");
    if (isnan(line->rated_v))
        note(notes, "voltage unknown: take it from the schematic");
    if (isnan(line->height_mm_max))
        note(notes, "height unknown: look at the room above");
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

/* Fills a line; its texts are the line's also on failure. */
static sf_status write_line(const batch *alike, sf_kit_line *line)
{
    const replacement *first = &alike->parts[0];
    text notes = {0};
    line->capacitance_uf = first->capacitance_uf;
    line->rated_v = first->rated_v;
    line->diameter_mm_max = first->part->diameter_mm;
    line->height_mm_max = first->part->height_mm;
    line->count = alike->count;
    double spares = (double)alike->count * alike->job->policy.kit_spare_pct / 100;
    line->spares = (size_t)ceil(spares - ROUNDING);
    choose_grade(alike, line, &notes);
    note_changes(alike, &notes);
    note_gaps(line, &notes);
    line->note = text_take(&notes);
    line->refs = batch_refs(alike);
    return line->note && line->refs ? SF_OK : SF_ERROR_MEMORY;
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
            (replacement){part, &results[i], preferred_capacitance(part->capacitance_uf),
                          preferred_voltage(least_v)};
    }
    kit->replaced = count;
    replacements_sort(list, count);
    return count;
}

static size_t batch_end(const replacement *list, size_t start, size_t count)
{
    size_t end = start + 1;
    while (end < count && replacement_compare_kind(&list[start], &list[end]) == 0)
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
    for (size_t i = 0; i < kit->count; i++) {
        free(kit->lines[i].refs);
        free(kit->lines[i].note);
    }
    free(kit->lines);
    free(kit);
}
