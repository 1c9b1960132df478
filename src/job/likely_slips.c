/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Plausibility across rows and files: each warning names the slip that is likely behind it. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/digits.h"
#include "job/doubtful.h"
#include "job/files.h"
#include "job/hours.h"
#include "job/number.h"
#include "job/places.h"

/* --- slips that all readings of a file share --- */

#define READINGS_LEAST 2   /* of fewer, any may lie anywhere by a slip of its own */
#define TENTHS_LEAST 100.0 /* 10 C: no board is read colder than that */

static sf_point as_typed(const sf_board *board, const sf_reading *of)
{
    (void)board;
    return (sf_point){of->x_mm, of->y_mm};
}

static sf_point from_top(const sf_board *board, const sf_reading *of)
{
    return (sf_point){of->x_mm, board->height_mm - of->y_mm};
}

static sf_point exchanged(const sf_board *board, const sf_reading *of)
{
    (void)board;
    return (sf_point){of->y_mm, of->x_mm};
}

typedef sf_point (*meaning)(const sf_board *board, const sf_reading *of);

static size_t count_off(const struct intake *intake, meaning meant)
{
    const sf_job *job = intake->job;
    size_t off = 0;
    for (size_t i = 0; i < job->reading_count; i++)
        off +=
            place_off_board_mm(intake, meant(&job->board, &job->readings[i])) > PLACE_OFF_BOARD_MM;
    return off;
}

static void ask_of_axes(struct intake *intake)
{
    const where at = {"readings.csv", 0, ""};
    if (intake->job->reading_count < READINGS_LEAST || count_off(intake, as_typed) == 0)
        return;
    if (count_off(intake, from_top) == 0)
        diagnose_warning(intake, at, "",
                         "all readings would lie on the board with y counted from the top: is the "
                         "lower left corner the origin?");
    else if (count_off(intake, exchanged) == 0)
        diagnose_warning(intake, at, "",
                         "all readings would lie on the board with x and y swapped: does x run "
                         "along the width?");
}

static void ask_of_tenths(struct intake *intake)
{
    size_t beyond = 0;
    for (size_t i = 0; i < intake->job->reading_count; i++) {
        const sf_reading *of = &intake->job->readings[i];
        bool may_be = of->unit == SF_UNIT_CELSIUS && of->value >= TENTHS_LEAST &&
                      of->value <= 10 * SF_SEEN_C_MAX;
        if (!may_be)
            return;
        beyond += of->value > SF_SEEN_C_MAX;
    }
    if (beyond > 0)
        diagnose_warning(intake, (where){"readings.csv", 0, "value"}, "",
                         "all values would be those of a board as tenths of a degree: is a decimal "
                         "point missing?");
}

void askew_ask(struct intake *intake)
{
    ask_of_axes(intake);
    ask_of_tenths(intake);
}

/* --- air and hours of the board --- */

static void ask_of_warm_air(struct intake *intake, where at, double air_c)
{
    diagnose_warning(intake, at, "",
                     "%.10g C is hot for air at a bench; %.10g F are %.3g C: is the unit F?", air_c,
                     air_c, fahrenheit_to_c(air_c));
}

static void ask_of_service_air(struct intake *intake)
{
    const sf_board *board = &intake->job->board;
    where at = board_place(intake, "service_ambient");
    if (intake->bench_air_in_service && intake->job->policy.cover_rise_k == 0)
        diagnose_warning(intake, at, "the air around the board in service",
                         "not given, so the %.10g C of the bench is used; a cabinet is usually "
                         "warmer, and 10 K more halves the rated life",
                         board->ambient_c);
    else if (job_air_missing_k(intake->job) > 0)
        diagnose_warning(
            intake, at, "",
            "service air of %.10g C is %.3g K colder than the bench, but a cabinet is usually "
            "warmer: a typing slip?%s",
            board->service_ambient_c, board->ambient_c - board->service_ambient_c,
            air_too_warm(board->ambient_c) ? " Check the unit of the bench air first"
            : job_air_doubted_k(intake->job) > 0
                ? " If you measured the air in service, set service_ambient_u to 1 or less; until "
                  "then parts that would wear too much in warmer air get the verdict check"
                : "");
}

static void ask_of_hours(struct intake *intake)
{
    const sf_job *job = intake->job;
    const sf_board *board = &job->board;
    double told_h = job_hours_told(job), against_h = job_hours_against(job);
    bool periods = job->period_count > 0;
    if (isnan(against_h) || (!periods && told_h > board_hours_most(board)))
        return;
    diagnose_warning(
        intake, periods ? (where){"history.csv", 0, "hours"} : board_place(intake, "run_hours"), "",
        "%s h is far from the %s h that %s h a year gives from %d to %s: "
        "a typing slip?%s",
        number_told(told_h).bytes, number_told(round(against_h)).bytes,
        number_told(board->hours_per_year).bytes, board->made_year, board->surveyed,
        isnan(job_hours_doubted(job)) ? ""
                                      : " If a meter counted them, set run_hours_u to 5 or "
                                        "less; until then parts that would be worn by the "
                                        "other count get the verdict check");
}

/* --- parts --- */

/* The densest cans of catalogues hold some 30 uF V in a cubic millimetre; twice that is not made
 * (common practice, no source). */
#define CHARGE_DENSITY_MOST 60.0
/* The lowest rated voltage of the preferred ones. */
#define LEAST_RATED_V 2.5
static void ask_of_voltage(struct intake *intake, const sf_part *part)
{
    if (part->working_v > part->rated_v)
        diagnose_warning(
            intake, (where){"parts.csv", part->line, "working_v"}, "at most rated_v",
            "%.10g V on a part rated %.10g V: are the two swapped, or is the part overloaded?",
            part->working_v, part->rated_v);
}

static void ask_of_size(struct intake *intake, const sf_part *part)
{
    const double pi = 3.14159265358979323846;
    double can_mm3 = pi / 4 * part->diameter_mm * part->diameter_mm * part->height_mm;
    double rated_v = isnan(part->rated_v) ? LEAST_RATED_V : part->rated_v;
    if (part->capacitance_uf * rated_v > CHARGE_DENSITY_MOST * can_mm3)
        diagnose_warning(
            intake, (where){"parts.csv", part->line, "capacitance_uf"}, "",
            "%.10g uF at %.10g V does not fit into a can of %.10g x %.10g mm: a slip in "
            "the value, its unit or the size?",
            part->capacitance_uf, rated_v, part->diameter_mm, part->height_mm);
}

static void ask_of_grade(struct intake *intake, const sf_part *part)
{
    double rated_most_c = part_rating_against(part), most_h = part_endurance_against(part);
    if (!isnan(rated_most_c))
        diagnose_warning(intake, (where){"parts.csv", part->line, "rated_c"}, "",
                         "%.10g C is more than capacitors of its type are rated for, %.10g C: a "
                         "typing slip?",
                         part->rated_c, rated_most_c);
    else if (!isnan(most_h))
        diagnose_warning(intake, (where){"parts.csv", part->line, "endurance_h"}, "",
                         "%s h at %.10g C is more than catalogues promise for such cans, %s h: a "
                         "typing slip?",
                         number_told(part->endurance_h).bytes, part->rated_c,
                         number_told(most_h).bytes);
}

static int by_x(const void *left, const void *right)
{
    const sf_part *a = *(const sf_part *const *)left, *b = *(const sf_part *const *)right;
    int order = (a->x_mm > b->x_mm) - (a->x_mm < b->x_mm);
    return order != 0 ? order : (a->line > b->line) - (a->line < b->line);
}

/* Two cans so near that the axis of the smaller is deep inside the larger: no ruler is so far off.
 */
static bool stand_in_one_place(const sf_part *one, const sf_part *other)
{
    double apart_mm = hypot(one->x_mm - other->x_mm, one->y_mm - other->y_mm);
    return part_on_solder_side(one) == part_on_solder_side(other) &&
           apart_mm < 0.5 * fmin(one->diameter_mm, other->diameter_mm);
}

static void ask_of_place(struct intake *intake, const sf_part *one, const sf_part *other)
{
    const sf_part *later = one->line > other->line ? one : other;
    const sf_part *earlier = later == one ? other : one;
    diagnose_warning(
        intake, (where){"parts.csv", later->line, "x_mm"}, "a place of its own",
        "%s is in the same place as %s on line %zu: entered twice, or a slip in a place?",
        excerpt_of(later->ref).text, excerpt_of(earlier->ref).text, earlier->line);
}

/* The first part that is found in the place of sorted[i], of those before it; NULL: none. So many
 * are looked at and no more, lest a crowded file of a million parts take hours. */
static const sf_part *part_in_place(const sf_part *const *sorted, size_t i)
{
    enum { NEIGHBOURS_MOST = 500 };
    double least_x_mm = sorted[i]->x_mm - 0.5 * sorted[i]->diameter_mm;
    for (size_t j = i; j-- > 0 && i - j <= NEIGHBOURS_MOST && sorted[j]->x_mm > least_x_mm;)
        if (stand_in_one_place(sorted[i], sorted[j]))
            return sorted[j];
    return NULL;
}

/* Each part is asked about once; after a score of them only their number is told. */
static void ask_of_places(struct intake *intake)
{
    enum { TOLD_MOST = 20 };
    const sf_job *job = intake->job;
    const sf_part **sorted = keep_array(intake, job->part_count, sizeof *sorted);
    size_t count = 0, found = 0;
    for (size_t i = 0; sorted && i < job->part_count; i++)
        if (!isnan(job->parts[i].x_mm) && !isnan(job->parts[i].y_mm))
            sorted[count++] = &job->parts[i];
    if (count > 0)
        qsort(sorted, count, sizeof *sorted, by_x);
    for (size_t i = 1; i < count; i++) {
        const sf_part *other = part_in_place(sorted, i);
        found += other != NULL;
        if (other && found <= TOLD_MOST)
            ask_of_place(intake, sorted[i], other);
    }
    if (found > TOLD_MOST)
        diagnose_warning(intake, (where){"parts.csv", 0, "x_mm"}, "a place of its own",
                         "%zu more parts are in the same place as another", found - TOLD_MOST);
    free(sorted);
}

/* --- readings --- */

static bool same_or_unknown(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

/* Rows of one id are a series, and were compared as such. */
static bool repeats(const sf_reading *row, const sf_reading *above)
{
    return row->x_mm == above->x_mm && row->y_mm == above->y_mm && row->value == above->value &&
           row->method == above->method && row->spot == above->spot &&
           same_or_unknown(row->minute, above->minute) &&
           same_or_unknown(row->ambient_c, above->ambient_c) && strcmp(row->id, above->id) != 0;
}

static void ask_of_readings(struct intake *intake)
{
    const sf_job *job = intake->job;
    bool warm = false;
    for (size_t i = 0; i < job->reading_count; i++) {
        const sf_reading *row = &job->readings[i];
        if (i > 0 && repeats(row, row - 1))
            diagnose_warning(intake, (where){"readings.csv", row->line, "value"}, "",
                             "%s has the same place and value as %s just above: entered twice?",
                             excerpt_of(row->id).text, excerpt_of(row[-1].id).text);
        if (air_too_warm(row->ambient_c) && !warm)
            ask_of_warm_air(intake, (where){"readings.csv", row->line, "ambient_c"},
                            row->ambient_c);
        warm = warm || air_too_warm(row->ambient_c); /* the first stands for its like */
    }
}

void slips_ask(struct intake *intake)
{
    const sf_job *job = intake->job;
    if (air_too_warm(job->board.ambient_c))
        ask_of_warm_air(intake, board_place(intake, "ambient"), job->board.ambient_c);
    ask_of_service_air(intake);
    ask_of_hours(intake);
    for (size_t i = 0; i < job->part_count; i++) {
        ask_of_voltage(intake, &job->parts[i]);
        ask_of_size(intake, &job->parts[i]);
        ask_of_grade(intake, &job->parts[i]);
    }
    ask_of_places(intake);
    ask_of_readings(intake);
}
