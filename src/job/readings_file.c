/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* readings.csv: what the instruments showed. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "job/choice_words.h"
#include "job/files.h"
#include "job/intake.h"
#include "job/number.h"
#include "job/places.h"
#include "job/rows.h"

/* --- readings that share an id --- */

/* A blank minute sorts before all others. */
static double minute_key(const sf_reading *reading)
{
    return isnan(reading->minute) ? -1 : reading->minute;
}

static int by_id_then_minute(const void *left, const void *right)
{
    const sf_reading *a = *(const sf_reading *const *)left;
    const sf_reading *b = *(const sf_reading *const *)right;
    double first = minute_key(a), second = minute_key(b);
    int order = strcmp(a->id, b->id);
    if (order == 0)
        order = (first > second) - (first < second);
    return order != 0 ? order : (a->line > b->line) - (a->line < b->line);
}

/* What could not be read, a NAN or a choice at its count, was complained about already. */
static bool numbers_differ(double a, double b)
{
    return !isnan(a) && !isnan(b) && a != b;
}

static bool choices_differ(int a, int b, int unread)
{
    return a != unread && b != unread && a != b;
}

static const char *difference(const sf_reading *a, const sf_reading *b)
{
    if (numbers_differ(a->x_mm, b->x_mm))
        return "x_mm";
    if (numbers_differ(a->y_mm, b->y_mm))
        return "y_mm";
    if (choices_differ((int)a->method, (int)b->method, SF_METHOD_COUNT))
        return "method";
    if (choices_differ((int)a->unit, (int)b->unit, SF_UNIT_COUNT))
        return "unit";
    if (a->spot != b->spot)
        return "spot";
    if (a->side != b->side)
        return "side";
    return strcmp(a->part, b->part) != 0 ? "part" : NULL;
}

static void check_pair(struct intake *intake, const sf_reading *before, const sf_reading *after)
{
    const sf_reading *later = after->line > before->line ? after : before;
    const sf_reading *earlier = later == after ? before : after;
    excerpt id = excerpt_of(later->id);
    const char *column = difference(earlier, later);
    if (column)
        diagnose_error(intake, (where){"readings.csv", later->line, column},
                       "the same in each row of a warm-up series",
                       "it differs from line %zu, which has the same id \"%s\"", earlier->line,
                       id.text);
    if (isnan(before->minute))
        diagnose_error(
            intake,
            (where){"readings.csv", isnan(after->minute) ? later->line : before->line, "minute"},
            "a minute in each row of a warm-up series, or an id of its own",
            "the cell is blank, and line %zu has the same id \"%s\"",
            isnan(after->minute) ? earlier->line : after->line, id.text);
    else if (before->minute == after->minute)
        diagnose_error(intake, (where){"readings.csv", later->line, "minute"},
                       "different minutes in a warm-up series",
                       "%.10g is also the minute of line %zu, which has the same id \"%s\"",
                       after->minute, earlier->line, id.text);
}

/* Tells a fault where rows of one id differ in place, method, unit or spot, or do not differ in
 * minute: they are one warm-up series. Units must still be as written. */
static void series_check(struct intake *intake, const sf_reading *readings, size_t count)
{
    const sf_reading **sorted = keep_array(intake, count, sizeof *sorted);
    if (!sorted)
        return;
    for (size_t i = 0; i < count; i++)
        sorted[i] = &readings[i];
    qsort(sorted, count, sizeof *sorted, by_id_then_minute);
    for (size_t i = 1; i < count; i++)
        if (sorted[i]->id[0] != '\0' && strcmp(sorted[i]->id, sorted[i - 1]->id) == 0)
            check_pair(intake, sorted[i - 1], sorted[i]);
    free(sorted);
}

#define ROW sf_reading

/* A unit or method that stays at its count was not there or not known. */
static const struct column reading_columns[] = {
    {TEXT_COLUMN("id", id), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("x_mm", x_mm, -2, SF_BOARD_MM_MAX + 2, "mm"), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("y_mm", y_mm, -2, SF_BOARD_MM_MAX + 2, "mm"), .flags = COLUMN_REQUIRED},
    {NUMBER_COLUMN("value", value, -1000, 10000, ""), .flags = COLUMN_REQUIRED},
    {WORD_COLUMN("unit", unit, unit_words), .flags = COLUMN_REQUIRED, .usual = SF_UNIT_COUNT},
    {WORD_COLUMN("method", method, method_words), .flags = COLUMN_REQUIRED,
     .usual = SF_METHOD_COUNT},
    {WORD_COLUMN("spot", spot, spot_words), .flags = COLUMN_ASSUMED},
    {WORD_COLUMN("side", side, side_words)},
    {TEXT_COLUMN("part", part)},
    {NUMBER_COLUMN("u_k", sd_k, SF_READING_SD_K_MIN, SF_READING_SD_K_MAX, "K")},
    {NUMBER_COLUMN("emissivity", emissivity, SF_EMISSIVITY_MIN, 1, "")},
    {NUMBER_COLUMN("reflected_c", reflected_c, SF_SEEN_C_MIN, SF_SEEN_C_MAX, "C")},
    {NUMBER_COLUMN("ambient_c", ambient_c, SF_AIR_C_MIN, SF_AIR_C_MAX, "C")},
    {NUMBER_COLUMN("junction_c", junction_c, SF_JUNCTION_C_MIN, SF_JUNCTION_C_MAX, "C")},
    {NUMBER_COLUMN("minute", minute, 0, SF_MINUTE_MAX, "min")},
    {TEXT_COLUMN("note", note)},
};

/* A reading on a part, on no can but so near to one, may be meant for it; our choice. */
#define NEAR_CAN_MM 5.0

const struct row_kind reading_kind = {
    .file = "readings.csv",
    .things = "readings",
    .needed = true,
    ROWS_OF(reading_columns),
    .line_offset = offsetof(sf_reading, line),
};

/* The plausible range of a value; of a thermocouple's voltage, that of types J, K and T with some
 * room (IEC 60584-1: J gives the most, 69.553 mV at 1,200 C; from memory). */
static void check_value(struct intake *intake, const sf_reading *reading)
{
    where at = {"readings.csv", reading->line, "value"};
    bool is_voltage = reading->unit == SF_UNIT_MILLIVOLT;
    double least = is_voltage ? -10 : SF_SEEN_C_MIN, most = is_voltage ? 80 : SF_SEEN_C_MAX;
    if (isnan(reading->value) || reading->unit == SF_UNIT_COUNT)
        return;
    if (reading->value < least || reading->value > most)
        diagnose_error(intake, at, is_voltage ? "-10 to 80 mV" : "-60 to 400 C",
                       "%.6g %s is out of range", reading->value,
                       word_text(unit_words, (int)reading->unit));
}

static void check_voltage(struct intake *intake, const sf_reading *reading)
{
    where junction = {"readings.csv", reading->line, "junction_c"};
    where method = {"readings.csv", reading->line, "method"};
    if (reading->unit != SF_UNIT_MILLIVOLT)
        return;
    if (reading->method == SF_METHOD_INFRARED)
        diagnose_error(intake, method, "a thermocouple",
                       "an infrared thermometer does not show millivolts");
    if (isnan(reading->junction_c))
        diagnose_error(intake, junction, "the temperature of the reference junction in C",
                       "a reading in mV needs it");
}

/* The reference junction is of no use where the instrument has already allowed for it. */
static void settle_junction(struct intake *intake, sf_reading *reading)
{
    if (reading->unit == SF_UNIT_MILLIVOLT || reading->unit == SF_UNIT_COUNT ||
        isnan(reading->junction_c))
        return;
    diagnose_warning(intake, (where){"readings.csv", reading->line, "junction_c"}, "",
                     "it is ignored, since the value is not in mV");
    reading->junction_c = NAN;
}

static void settle_unit(sf_reading *reading)
{
    if (reading->unit == SF_UNIT_FAHRENHEIT || reading->unit == SF_UNIT_KELVIN) {
        unit_convert("C", word_text(unit_words, (int)reading->unit), &reading->value);
        reading->unit = SF_UNIT_CELSIUS;
    }
}

/* Just off the edge, or on a source that hangs over it, a reading still tells of the board. */
static void check_place(struct intake *intake, const sf_reading *reading)
{
    struct stray stray = {{"readings.csv", reading->line, ""},
                          "reading",
                          reading->id,
                          {reading->x_mm, reading->y_mm},
                          0};
    stray.off_mm = place_off_board_mm(intake, stray.place);
    if (stray.off_mm > PLACE_OFF_BOARD_MM && !place_is_on_source(intake, stray.place))
        diagnose_of_stray(intake, &stray);
    else if (stray.off_mm > 0)
        diagnose_warning(intake, stray.at, "",
                         "reading %s at (%.10g, %.10g) lies %.1f mm off the board and is taken at "
                         "its nearest place",
                         excerpt_of(reading->id).text, reading->x_mm, reading->y_mm, stray.off_mm);
}

void readings_file_read(struct intake *intake)
{
    sf_job *job = intake->job;
    void *rows = NULL;
    struct row_kind kind = reading_kind;
    kind.needed = !intake->may_be_unread;
    file_state state = rows_read(intake, &kind, &rows, &job->reading_count);
    job->readings = rows;
    if (state != FILE_READ || intake->memory_short)
        return;
    if (job->reading_count == 0 && !intake->may_be_unread)
        diagnose_error(intake, (where){"readings.csv", 0, ""}, "at least one",
                       "the file has no reading");
    series_check(intake, job->readings, job->reading_count);
    for (size_t i = 0; i < job->reading_count; i++) {
        sf_reading *reading = &job->readings[i];
        check_place(intake, reading);
        check_voltage(intake, reading);
        settle_junction(intake, reading);
        settle_unit(reading);
        check_value(intake, reading);
    }
}

/* --- whose can it is --- */

static void diagnose_of_stranger(struct intake *intake, const sf_reading *reading)
{
    const sf_job *job = intake->job;
    struct nearest known = {reading->part, NULL, 0};
    for (size_t i = 0; i < job->part_count; i++)
        nearest_offer(&known, job->parts[i].ref);
    diagnose_error(intake, (where){"readings.csv", reading->line, "part"}, "a ref of parts.csv",
                   known.name ? "\"%s\" is not a part; did you mean %s"
                              : "\"%s\" is not a part; parts.csv has none%s",
                   excerpt_of(reading->part).text, known.name ? excerpt_of(known.name).text : "");
}

/* The name counts, but one of the two is a slip. */
static void warn_of_far_part(struct intake *intake, const sf_reading *reading, const sf_part *part)
{
    double away_mm = can_distance_mm(part, reading->x_mm, reading->y_mm);
    if (away_mm > can_reach_mm(&intake->job->policy))
        diagnose_warning(intake, (where){"readings.csv", reading->line, "part"}, "",
                         "reading %s names %s, whose can ends %.1f mm away from it: the reading "
                         "counts as %s's",
                         excerpt_of(reading->id).text, excerpt_of(part->ref).text, away_mm,
                         excerpt_of(part->ref).text);
}

/* A part of another kind may stand there; so near a can it is likelier that one's. */
static void warn_of_near_can(struct intake *intake, const sf_reading *reading)
{
    double away_mm;
    size_t nearest =
        can_nearest(intake->job, reading->side, reading->x_mm, reading->y_mm, &away_mm);
    if (away_mm <= NEAR_CAN_MM)
        diagnose_warning(intake, (where){"readings.csv", reading->line, "part"},
                         "the part that was read, where parts.csv has it",
                         "reading %s is on no can of parts.csv: %s's, the nearest, ends %.1f mm "
                         "away",
                         excerpt_of(reading->id).text,
                         excerpt_of(intake->job->parts[nearest].ref).text, away_mm);
}

/* Bodies of the other side cannot be reached from there. */
static void check_side(struct intake *intake, const sf_reading *reading, const sf_part *part)
{
    bool below = reading->side == SF_SIDE_SOLDER;
    if (reading->side != SF_SIDE_EITHER && below != part_on_solder_side(part))
        diagnose_error(intake, (where){"readings.csv", reading->line, "side"},
                       "the side of the part that was read, or board as the spot",
                       "%s is on the %s", excerpt_of(part->ref).text,
                       sf_side_text(below ? SF_SIDE_COMPONENT : SF_SIDE_SOLDER));
}

/* On the solder side under a can there is the board. */
static bool settle_under_can(struct intake *intake, sf_reading *reading)
{
    const sf_job *job = intake->job;
    double away_mm;
    size_t above = can_nearest(job, SF_SIDE_COMPONENT, reading->x_mm, reading->y_mm, &away_mm);
    if (reading->side != SF_SIDE_SOLDER || away_mm > can_reach_mm(&job->policy))
        return false;
    diagnose_warning(intake, (where){"readings.csv", reading->line, "spot"},
                     "board as the spot, or the part of the solder side that was read",
                     "parts.csv has no part there on the solder side, and %s on the other: the "
                     "reading counts as one of the board",
                     excerpt_of(job->parts[above].ref).text);
    reading->spot = SF_SPOT_BOARD;
    return true;
}

static void check_part(struct intake *intake, sf_reading *reading)
{
    if (reading->spot != SF_SPOT_PART) {
        if (reading_names_part(reading))
            diagnose_error(intake, (where){"readings.csv", reading->line, "part"},
                           "a blank cell, or part as the spot",
                           "%s is named, but the reading was taken on the %s",
                           excerpt_of(reading->part).text, sf_spot_text(reading->spot));
        return;
    }
    size_t part = sf_reading_part(intake->job, reading);
    if (part == SF_NO_PART && reading_names_part(reading))
        diagnose_of_stranger(intake, reading);
    else if (part == SF_NO_PART) {
        if (!settle_under_can(intake, reading))
            warn_of_near_can(intake, reading);
    } else {
        check_side(intake, reading, &intake->job->parts[part]);
        warn_of_far_part(intake, reading, &intake->job->parts[part]);
    }
}

void readings_part_check(struct intake *intake)
{
    sf_job *job = intake->job;
    for (size_t i = 0; job->parts && i < job->reading_count; i++)
        check_part(intake, &job->readings[i]);
}
