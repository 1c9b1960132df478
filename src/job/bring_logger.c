/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Files of a logger: a column of times, and channels, some of which are places on the board. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/memory.h"
#include "job/bring.h"

#define SECONDS_A_MINUTE 60.0
#define MINUTES_A_DAY 1440.0

/* "HH:MM", "HH:MM:SS", a date YYYY-MM-DD or DD.MM.YYYY before it; in minutes. NAN: none. */
static double clock_minute(const char *words)
{
    int year, month, day, hour, minute, used = 0;
    double second = 0, days = 0;
    if (sscanf(words, "%4d-%2d-%2d%n", &year, &month, &day, &used) == 3 ||
        sscanf(words, "%2d.%2d.%4d%n", &day, &month, &year, &used) == 3) {
        if (month < 1 || month > 12 || day < 1 || day > 31)
            return NAN;
        /* the number of a day, by the rule of Fliegel and van Flandern, Comm. ACM 11 (1968) 657 */
        int early = (month - 14) / 12;
        days = 1461 * (year + 4800 + early) / 4 + 367 * (month - 2 - 12 * early) / 12 -
               3 * ((year + 4900 + early) / 100) / 4 + day;
        words += used;
        words += *words == ' ' || *words == 'T' || *words == ',';
    }
    int count = sscanf(words, "%3d:%2d:%lf", &hour, &minute, &second);
    bool sound =
        count >= 2 && hour >= 0 && minute >= 0 && minute < 60 && second >= 0 && second < 61;
    return sound ? days * MINUTES_A_DAY + hour * 60.0 + minute + second / SECONDS_A_MINUTE
                 : (double)NAN;
}

static double scale_of(const bring_sheet *sheet)
{
    const char *heading = table_header(&sheet->table, sheet->columns[BRING_TIME]);
    const char *unit = sheet->units[BRING_TIME];
    if (strcmp(unit, "s") == 0 || strcmp(unit, "sec") == 0 || words_hold(heading, "second"))
        return 1 / SECONDS_A_MINUTE;
    return strcmp(unit, "min") == 0 || words_hold(heading, "minute") ? 1 : (double)NAN;
}

/* Minutes of a row on the logger's own clock; NAN and told where they are not understood. */
static double minute_of(struct intake *intake, bring *into, const bring_sheet *sheet, size_t row)
{
    const char *words = bring_cell(sheet, row, BRING_TIME);
    size_t column = sheet->columns[BRING_TIME];
    double minute = NAN, scale = scale_of(sheet);
    if (strchr(words, ':'))
        minute = clock_minute(words);
    else if (!isnan(scale))
        minute = scale * bring_number(intake, sheet, row, column, "", "");
    where at = {sheet->table.file, table_line(&sheet->table, row, column),
                table_header(&sheet->table, column)};
    if (isnan(minute) && (strchr(words, ':') || isnan(scale)))
        diagnose_warning(intake, at, "HH:MM:SS, or a heading such as Time (s) or Time (min)",
                         "\"%s\" is not a time, so the line is ignored", excerpt_of(words).text);
    into->lines_lost += isnan(minute);
    return minute;
}

static void add_reading(struct intake *intake, bring *into, const bring_reading *one)
{
    bring_reading *made = array_add(&into->readings, &into->reading_count, &into->reading_capacity,
                                    sizeof *into->readings);
    if (made)
        *made = *one;
    else
        intake->memory_short = true;
}

/* Of many rows as many as a series takes, the first and the last among them. */
static bool is_taken(size_t row, size_t count)
{
    if (count <= BRING_ROWS_MOST)
        return true;
    for (size_t i = 0; i < BRING_ROWS_MOST; i++)
        if (row == i * (count - 1) / (BRING_ROWS_MOST - 1))
            return true;
    return false;
}

static void take_channel(struct intake *intake, bring *into, const bring_sheet *sheet,
                         size_t channel, size_t column, const double *minutes)
{
    size_t count = sheet->table.row_count, sound = 0, before = into->reading_count;
    for (size_t row = 0; row < count; row++)
        sound += !isnan(minutes[row]) && table_text(&sheet->table, row, column)[0];
    for (size_t row = 0, seen = 0; row < count && !intake->memory_short; row++) {
        if (isnan(minutes[row]) || !table_text(&sheet->table, row, column)[0] ||
            !is_taken(seen++, sound))
            continue;
        double value = bring_number(intake, sheet, row, column, "", "");
        into->lines_lost += isnan(value);
        if (!isnan(value))
            add_reading(intake, into, &(bring_reading){channel, minutes[row], value});
    }
    if (into->reading_count - before < 3)
        diagnose_error(intake, (where){sheet->table.file, 0, table_header(&sheet->table, column)},
                       "at least three rows with a time and a number",
                       "the channel is not a warm-up series");
}

/* A series of that name in the job stays as it is. */
static bool is_kept(struct intake *intake, const bring_sheet *sheet, const char *name)
{
    const sf_job *job = intake->job;
    for (size_t i = 0; i < job->reading_count; i++)
        if (job->readings[i].id && strcmp(job->readings[i].id, name) == 0) {
            diagnose_warning(
                intake, (where){sheet->table.file, sheet->table.header_line, name}, "",
                "readings.csv already has readings of that name, and keeps them as they are");
            return true;
        }
    return false;
}

static bool find_channel(bring *in, const char *heading, size_t *channel)
{
    for (size_t i = 0; i < in->options.channel_count; i++) {
        const char *name = in->channels[i].name;
        size_t length = strlen(name);
        bool same =
            strncasecmp(heading, name, length) == 0 && strchr("([ ", heading[length]) != NULL;
        if (!same || in->channels[i].found)
            continue;
        *channel = i;
        return in->channels[i].found = true;
    }
    return false;
}

static void note_temperature(bring *into, const char *heading)
{
    static const char *const fahrenheit[] = {"(F)", "[F]", "(\u00B0F)", "[\u00B0F]", "degF"};
    for (size_t i = 0; i < sizeof fahrenheit / sizeof *fahrenheit; i++)
        if (words_hold(heading, fahrenheit[i]))
            into->unit[0] = 'F';
}

/* Minutes since the first row that has a time; a series cannot go back. */
static double *minutes_of(struct intake *intake, bring *into, const bring_sheet *sheet)
{
    double *minutes = keep_array(intake, sheet->table.row_count, sizeof *minutes);
    double first = NAN, last = -INFINITY;
    for (size_t row = 0; minutes && row < sheet->table.row_count; row++) {
        minutes[row] = minute_of(intake, into, sheet, row);
        first = isnan(first) ? minutes[row] : first;
        minutes[row] = rint((minutes[row] - first) * 1000) / 1000;
        where at = {sheet->table.file, table_line(&sheet->table, row, 0), ""};
        if (minutes[row] <= last || minutes[row] > SF_MINUTE_MAX) {
            diagnose_warning(intake, at, "a later time than in the line before",
                             "the time does not advance, so the line is ignored");
            minutes[row] = NAN;
            into->lines_lost++;
        }
        last = isnan(minutes[row]) ? last : minutes[row];
    }
    return minutes;
}

void bring_logger(struct intake *intake, bring *into, const bring_sheet *sheet)
{
    size_t taken = 0;
    double *minutes = minutes_of(intake, into, sheet);
    for (size_t column = 0; minutes && column < sheet->table.column_count; column++) {
        size_t channel = 0;
        const char *heading = table_header(&sheet->table, column);
        if (column == sheet->columns[BRING_TIME] || !find_channel(into, heading, &channel))
            continue;
        taken++;
        note_temperature(into, heading);
        if (is_kept(intake, sheet, into->channels[channel].name))
            continue;
        take_channel(intake, into, sheet, channel, column, minutes);
    }
    size_t first = sheet->columns[BRING_TIME] == 0;
    if (minutes && taken == 0)
        diagnose_error(
            intake, (where){sheet->table.file, sheet->table.header_line, ""},
            "for each channel to bring --channel NAME=X,Y in mm, or NAME=X,Y,C7 on the can of C7",
            "the logger does not say where its channels are fixed; its first is \"%s\"",
            first < sheet->table.column_count ? excerpt_of(table_header(&sheet->table, first)).text
                                              : "");
    free(minutes);
}
