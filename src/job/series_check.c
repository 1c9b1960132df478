/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Checks the rows of a warm-up series against each other. */
#include "job/series_check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

void series_check(struct intake *intake, const sf_reading *readings, size_t count)
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
