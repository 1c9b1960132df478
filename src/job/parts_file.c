/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* parts.csv: the electrolytic capacitors. */
#include <math.h>
#include <stdlib.h>

#include "core/digits.h"
#include "job/files.h"
#include "job/number.h"
#include "job/places.h"
#include "job/rows.h"

#define RIPPLE_RATIO_MAX 10.0

/* The two members of a part are filled as one struct tolerance. */
_Static_assert(offsetof(sf_part, tolerance_high_pct) ==
                   offsetof(sf_part, tolerance_low_pct) + offsetof(struct tolerance, high_pct),
               "low and high tolerance lie side by side");

#define ROW sf_part

static const struct column part_columns[] = {
    {TEXT_COLUMN("ref", ref), .flags = COLUMN_REQUIRED},
    {WORD_COLUMN("type", type, part_type_words), .flags = COLUMN_TOLERANT},
    {NUMBER_COLUMN("x_mm", x_mm, -2, SF_BOARD_MM_MAX + 2, "mm"), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("y_mm", y_mm, -2, SF_BOARD_MM_MAX + 2, "mm"), .flags = COLUMN_REQUIRED},
    {WORD_COLUMN("side", side, side_words)},
    {NUMBER_COLUMN("diameter_mm", diameter_mm, 1, 200, "mm"), .flags = COLUMN_ASSUMED, .usual = 8},
    {NUMBER_COLUMN("height_mm", height_mm, 1, 300, "mm")},
    {WORD_COLUMN("mount", mount, form_words)},
    {NUMBER_COLUMN("lead_pitch_mm", lead_pitch_mm, 1, 200, "mm")},
    {NUMBER_COLUMN("capacitance_uf", capacitance_uf, MARKED_UF_MIN, MARKED_UF_MAX, "uF")},
    {TOLERANCE_COLUMN("tolerance_pct", tolerance_low_pct), .flags = COLUMN_ASSUMED, .usual = 20},
    {NUMBER_COLUMN("rated_v", rated_v, 1, 1000, "V")},
    {NUMBER_COLUMN("rated_c", rated_c, 40, 200, "C"), .flags = COLUMN_ASSUMED, .usual = 85},
    {NUMBER_COLUMN("endurance_h", endurance_h, 100, 1e6, "h")},
    {YES_NO_COLUMN("endurance_with_ripple", endurance_with_ripple)},
    {NUMBER_COLUMN("ripple_a", ripple_a, 0, 1000, "A")},
    {NUMBER_COLUMN("rated_ripple_a", rated_ripple_a, 1e-3, 1000, "A")},
    {NUMBER_COLUMN("working_v", working_v, 0, 1000, "V")},
    {NUMBER_COLUMN("duty", duty, 0, 1, ""), .flags = COLUMN_ASSUMED, .usual = 1},
    {YES_NO_COLUMN("critical", critical), .flags = COLUMN_ASSUMED},
    {WHOLE_COLUMN("year", year, 1900, 2100)},
    {NUMBER_COLUMN("hours", hours, 0, 1e6, "h")},
    {NUMBER_COLUMN("measured_uf", measured_uf, 0, MARKED_UF_MAX, "uF")},
    {NUMBER_COLUMN("measured_esr_ohm", measured_esr_ohm, 0, 1e6, "ohm")},
    {NUMBER_COLUMN("esr_limit_ohm", esr_limit_ohm, 1e-4, 1e6, "ohm")},
    {NUMBER_COLUMN("esr_hz", esr_hz, 50, 1e6, ""), .usual = 100e3},
    {NUMBER_COLUMN("tan_delta", tan_delta, 1e-3, 2, "")},
    {YES_NO_COLUMN("low_esr", low_esr)},
    {NUMBER_COLUMN("leakage_ua", leakage_ua, 0, 1e6, "")},
    {NUMBER_COLUMN("leakage_limit_ua", leakage_limit_ua, 1e-3, 1e6, "")},
    {WORD_COLUMN("condition", condition, condition_words)},
    {NUMBER_COLUMN("emissivity", emissivity, SF_EMISSIVITY_MIN, 1, "")},
    {TEXT_COLUMN("note", note)},
};

const struct row_kind part_kind = {
    .file = "parts.csv",
    .things = "parts",
    .needed = true,
    ROWS_OF(part_columns),
    .line_offset = offsetof(sf_part, line),
};

/* Asked, never refused: odd values were made. */
static void ask_about_slips(struct intake *intake, const sf_part *part)
{
    where capacitance = {"parts.csv", part->line, "capacitance_uf"};
    where voltage = {"parts.csv", part->line, "rated_v"};
    if (!isnan(part->capacitance_uf) && !capacitance_is_preferred(part->capacitance_uf))
        diagnose_warning(intake, capacitance, "",
                         "%.10g uF is in no series of preferred values: a typing slip?",
                         part->capacitance_uf);
    if (!isnan(part->rated_v) && !voltage_is_preferred(part->rated_v))
        diagnose_warning(intake, voltage, "",
                         "%.10g V is not a usual rated voltage: a typing slip?", part->rated_v);
}

/* A measurement that nothing can be held against decides nothing, and is not to do so in silence.
 */
static void ask_about_measured(struct intake *intake, const sf_part *part)
{
    bool marked = !isnan(part->capacitance_uf);
    bool reckoned = part->type == SF_TYPE_ALUMINIUM && !isnan(part->rated_v);
    bool esr_judged =
        !isnan(part->esr_limit_ohm) || (marked && (reckoned || !isnan(part->tan_delta)));
    if (!isnan(part->measured_uf) && !marked)
        diagnose_warning(intake, (where){"parts.csv", part->line, "measured_uf"},
                         "capacitance_uf beside it", "it decides nothing without the marking");
    if (!isnan(part->measured_esr_ohm) && !esr_judged)
        diagnose_warning(intake, (where){"parts.csv", part->line, "measured_esr_ohm"},
                         "esr_limit_ohm, or capacitance_uf and rated_v or tan_delta, beside it",
                         "it decides nothing without a limit");
    if (!isnan(part->leakage_ua) && isnan(part->leakage_limit_ua) && !(marked && reckoned))
        diagnose_warning(intake, (where){"parts.csv", part->line, "leakage_ua"},
                         "leakage_limit_ua, or capacitance_uf and rated_v, beside it",
                         "it decides nothing without a limit");
}

/* Ten times the ripple heats a hundredfold, which no can stands: one of the two is in mA. */
static void check_ripple(struct intake *intake, const sf_part *part)
{
    if (part->ripple_a > RIPPLE_RATIO_MAX * part->rated_ripple_a)
        diagnose_error(intake, (where){"parts.csv", part->line, "ripple_a"},
                       "both in amperes, and at most ten times rated_ripple_a",
                       "%.10g A is %.4g times the rated %.10g A", part->ripple_a,
                       part->ripple_a / part->rated_ripple_a, part->rated_ripple_a);
}

static void check_year(struct intake *intake, const sf_part *part)
{
    const sf_board *board = &intake->job->board;
    if (part->year > 0 && part->year > board->survey_year + 1)
        diagnose_error(intake, (where){"parts.csv", part->line, "year"}, "a year before it",
                       "%d is after the survey of %s", part->year, board->surveyed);
}

static void check_place(struct intake *intake, const sf_part *part)
{
    struct stray stray = {
        {"parts.csv", part->line, ""}, "part", part->ref, {part->x_mm, part->y_mm}, 0};
    stray.off_mm = place_off_board_mm(intake, stray.place);
    if (stray.off_mm > PLACE_OFF_BOARD_MM)
        diagnose_of_stray(intake, &stray);
}

static void check_parts(struct intake *intake)
{
    sf_job *job = intake->job;
    struct name_line *names = keep_array(intake, job->part_count, sizeof *names);
    if (!names)
        return;
    for (size_t i = 0; i < job->part_count; i++) {
        const sf_part *part = &job->parts[i];
        names[i] = (struct name_line){part->ref, part->line};
        check_place(intake, part);
        ask_about_slips(intake, part);
        ask_about_measured(intake, part);
        check_ripple(intake, part);
        check_year(intake, part);
    }
    twins_check(intake, "parts.csv", "ref", names, job->part_count);
    free(names);
}

static void assume_endurance(struct intake *intake, size_t unmarked)
{
    assume(intake,
           "endurance_h not given for %zu of %zu parts: taken as %s h at ratings below 105 C, "
           "%s h at 105 C and more",
           unmarked, intake->job->part_count, number_told(intake->job->policy.endurance_85_h).bytes,
           number_told(intake->job->policy.endurance_105_h).bytes);
}

/* Blanks that the board or the policy stands in for. */
static void assume_for_parts(struct intake *intake)
{
    const sf_job *job = intake->job;
    size_t unmarked = 0, undated = 0;
    for (size_t i = 0; i < job->part_count; i++) {
        unmarked += isnan(job->parts[i].endurance_h);
        undated += job->parts[i].year == 0;
    }
    if (unmarked > 0)
        assume_endurance(intake, unmarked);
    if (undated > 0 && job->board.made_year > 0)
        assume(intake, "year not given for %zu of %zu parts: taken as %d, the board's", undated,
               job->part_count, job->board.made_year);
}

void parts_file_read(struct intake *intake)
{
    sf_job *job = intake->job;
    void *rows = NULL;
    file_state state = rows_read(intake, &part_kind, &rows, &job->part_count);
    job->parts = rows;
    if (state != FILE_READ || intake->memory_short)
        return;
    if (job->part_count == 0)
        diagnose_warning(intake, (where){"parts.csv", 0, ""}, "", "the file has no part");
    check_parts(intake);
    assume_for_parts(intake);
}
