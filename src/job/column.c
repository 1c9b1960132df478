/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Turns the text of a cell into the value of a row, by the kind of its column. */
#include "job/column.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "job/choice_words.h"
#include "job/number.h"

enum { EXPECTED_BYTES = 256 };

_Static_assert(sizeof(sf_method) == sizeof(int), "choices are stored through int");

static void *value_in(const struct column *column, void *row)
{
    return (char *)row + column->offset;
}

static const char *unit_of(const struct column *column)
{
    return column->unit ? column->unit : "";
}

void column_expected(const struct column *column, char *expected, size_t size)
{
    const char *number = column->kind == COLUMN_WHOLE ? "a whole number" : "a number";
    const char *space = unit_of(column)[0] ? " " : "";
    switch (column->kind) {
    case COLUMN_NUMBER:
    case COLUMN_WHOLE:
        snprintf(expected, size, "%s from %.10g to %.10g%s%s", number, column->least, column->most,
                 space, unit_of(column));
        break;
    case COLUMN_WORD:
    case COLUMN_YES_NO:
        word_list(column->words ? column->words : yes_no_words, expected, size);
        break;
    case COLUMN_TOLERANCE:
        snprintf(expected, size,
                 "per cent such as 20, a pair such as -20/+50, or a letter such "
                 "as M (IEC 60062)");
        break;
    case COLUMN_DATE:
        snprintf(expected, size, "YYYY-MM-DD or YYYY, from 1900 to 2100");
        break;
    case COLUMN_TEXT:
        snprintf(expected, size, "a text");
        break;
    }
}

static bool refuse(struct intake *intake, const struct column *column, const struct entry *entry,
                   const char *why)
{
    char expected[EXPECTED_BYTES];
    column_expected(column, expected, sizeof expected);
    diagnose_error(intake, entry->at, expected, "\"%s\" %s", excerpt_of(entry->text).text, why);
    return false;
}

static bool refuse_unit(struct intake *intake, const struct column *column,
                        const struct entry *entry)
{
    char known[EXPECTED_BYTES];
    unit_list(unit_of(column), known, sizeof known);
    diagnose_error(intake, entry->at, known, "\"%s\" is not a unit for it",
                   excerpt_of(entry->unit).text);
    return false;
}

static const char *number_fault_text(number_fault fault)
{
    switch (fault) {
    case NUMBER_COMMA:
        return "has a decimal comma, but commas separate the cells of this file";
    case NUMBER_MIXED:
        return "has a point and a comma";
    case NUMBER_LARGE:
        return "is too large for a number";
    default:
        return "is not a number";
    }
}

static void note_decimal_mark(struct table *table, const struct number *number, size_t line)
{
    if (number->has_point && table->point_line == 0)
        table->point_line = line;
    if (number->has_comma && table->comma_line == 0)
        table->comma_line = line;
}

static bool read_value(struct intake *intake, const struct column *column,
                       const struct entry *entry, double *value)
{
    struct number number = {0};
    number_fault fault = number_read(entry->text, entry->table->separator != ',', &number);
    if (fault != NUMBER_FINE)
        return refuse(intake, column, entry, number_fault_text(fault));
    note_decimal_mark(entry->table, &number, entry->at.line);
    if (!unit_convert(unit_of(column), entry->unit, &number.value))
        return refuse_unit(intake, column, entry);
    if (number.value >= column->least && number.value <= column->most) {
        *value = number.value;
        return true;
    }
    char why[EXPECTED_BYTES];
    if (entry->unit[0] && strcasecmp(entry->unit, unit_of(column)) != 0)
        snprintf(why, sizeof why, "%s is %.6g %s and out of range", excerpt_of(entry->unit).text,
                 number.value, unit_of(column));
    else
        snprintf(why, sizeof why, "is out of range");
    return refuse(intake, column, entry, why);
}

static bool read_number(struct intake *intake, const struct column *column,
                        const struct entry *entry, void *row)
{
    return read_value(intake, column, entry, value_in(column, row));
}

static bool read_whole(struct intake *intake, const struct column *column,
                       const struct entry *entry, void *row)
{
    double value = 0;
    if (!read_value(intake, column, entry, &value))
        return false;
    if (value != floor(value))
        return refuse(intake, column, entry, "is not a whole number");
    *(int *)value_in(column, row) = (int)value;
    return true;
}

/* A warning, and the default stays. */
static bool pass_over(struct intake *intake, const struct column *column, const struct entry *entry,
                      const void *row)
{
    char kept[EXPECTED_BYTES], expected[EXPECTED_BYTES];
    column_value_text(column, row, kept, sizeof kept);
    column_expected(column, expected, sizeof expected);
    diagnose_warning(intake, entry->at, expected,
                     "\"%s\" is not known, taken as %s: did you mean %s?",
                     excerpt_of(entry->text).text, kept, word_nearest(column->words, entry->text));
    return false;
}

static bool read_word(struct intake *intake, const struct column *column, const struct entry *entry,
                      void *row)
{
    int value = 0;
    bool known = word_value(column->words, entry->text, &value);
    if (!known && column->flags & COLUMN_TOLERANT)
        return pass_over(intake, column, entry, row);
    if (!known)
        return refuse(intake, column, entry, "is not known");
    memcpy(value_in(column, row), &value, sizeof value);
    return true;
}

static bool read_yes_no(struct intake *intake, const struct column *column,
                        const struct entry *entry, void *row)
{
    int value = 0;
    if (!word_value(yes_no_words, entry->text, &value))
        return refuse(intake, column, entry, "is neither yes nor no");
    *(bool *)value_in(column, row) = value != 0;
    return true;
}

static bool read_tolerance(struct intake *intake, const struct column *column,
                           const struct entry *entry, void *row)
{
    bool decimal_comma = entry->table->separator != ',';
    return tolerance_read(entry->text, decimal_comma, value_in(column, row)) ||
           refuse(intake, column, entry, "is not a tolerance");
}

static bool read_text(struct intake *intake, const struct column *column, const struct entry *entry,
                      void *row)
{
    *(char **)value_in(column, row) = keep_text(intake, entry->text);
    return true;
}

static bool read_date(struct intake *intake, const struct column *column, const struct entry *entry,
                      void *row)
{
    if (isnan(date_year(entry->text)))
        return refuse(intake, column, entry, "is not a date");
    return read_text(intake, column, entry, row);
}

bool column_read(struct intake *intake, const struct column *column, const struct entry *entry,
                 void *row)
{
    static bool (*const readers[])(struct intake *, const struct column *, const struct entry *,
                                   void *) = {
        [COLUMN_TEXT] = read_text,     [COLUMN_NUMBER] = read_number,
        [COLUMN_WHOLE] = read_whole,   [COLUMN_WORD] = read_word,
        [COLUMN_YES_NO] = read_yes_no, [COLUMN_TOLERANCE] = read_tolerance,
        [COLUMN_DATE] = read_date,
    };
    bool takes_unit = column->kind == COLUMN_NUMBER || column->kind == COLUMN_WHOLE;
    if (entry->unit[0] && !takes_unit)
        return refuse_unit(intake, column, entry);
    return readers[column->kind](intake, column, entry, row);
}

void column_value_text(const struct column *column, const void *row, char *into, size_t size)
{
    const void *value = (const char *)row + column->offset;
    const char *space = unit_of(column)[0] ? " " : "";
    int choice = 0;
    switch (column->kind) {
    case COLUMN_NUMBER:
        snprintf(into, size, "%.10g%s%s", *(const double *)value, space, unit_of(column));
        break;
    case COLUMN_WHOLE:
        snprintf(into, size, "%d%s%s", *(const int *)value, space, unit_of(column));
        break;
    case COLUMN_WORD:
        memcpy(&choice, value, sizeof choice);
        snprintf(into, size, "%s", word_text(column->words, choice));
        break;
    case COLUMN_YES_NO:
        snprintf(into, size, "%s", word_text(yes_no_words, *(const bool *)value));
        break;
    case COLUMN_TOLERANCE: {
        const struct tolerance *tolerance = value;
        snprintf(into, size, "-%.10g/+%.10g %%", tolerance->low_pct, tolerance->high_pct);
        break;
    }
    case COLUMN_TEXT:
    case COLUMN_DATE:
        snprintf(into, size, "%s", *(char *const *)value);
        break;
    }
}

void columns_blank(const struct column *columns, size_t count, void *row)
{
    for (size_t i = 0; i < count; i++) {
        const struct column *column = &columns[i];
        void *into = value_in(column, row);
        bool known = column->usual != 0 || column->flags & COLUMN_ASSUMED;
        if (column->kind == COLUMN_NUMBER)
            *(double *)into = known ? column->usual : (double)NAN;
        else if (column->kind == COLUMN_TOLERANCE)
            *(struct tolerance *)into = (struct tolerance){column->usual, column->usual};
        else if (column->kind == COLUMN_WHOLE || column->kind == COLUMN_WORD)
            memcpy(into, &(int){(int)column->usual}, sizeof(int));
    }
}

bool column_is_text(const struct column *column)
{
    return column->kind == COLUMN_TEXT || column->kind == COLUMN_DATE;
}

void columns_free_texts(const struct column *columns, size_t count, void *row)
{
    for (size_t i = 0; i < count; i++)
        if (column_is_text(&columns[i]))
            free(*(char **)value_in(&columns[i], row));
}

void columns_fill_texts(struct intake *intake, const struct column *columns, size_t count,
                        void *row)
{
    for (size_t i = 0; i < count; i++) {
        char **into = value_in(&columns[i], row);
        if (column_is_text(&columns[i]) && *into == NULL)
            *into = keep_text(intake, "");
    }
}

/* Headings of spreadsheets and layout tools that can mean but one thing. */
static const struct {
    const char *heading, *name;
} meant[] = {
    {"refdes", "ref"},
    {"designator", "ref"},
    {"reference", "ref"},
    {"part", "ref"},
    {"x", "x_mm"},
    {"y", "y_mm"},
    {"uF", "capacitance_uf"},
    {"capacitance", "capacitance_uf"},
    {"voltage", "rated_v"},
    {"V", "rated_v"},
    {"diameter", "diameter_mm"},
    {"height", "height_mm"},
    {"pitch", "pitch_mm"},
    {"power", "power_w"},
    {"watts", "power_w"},
    {"temperature", "value"},
    {"temp", "value"},
    {"units", "unit"},
};

const char *column_meant(const char *heading)
{
    for (size_t i = 0; i < sizeof meant / sizeof *meant; i++)
        if (strcasecmp(meant[i].heading, heading) == 0)
            return meant[i].name;
    return NULL;
}

void table_warn_of_mixed_decimals(struct intake *intake, const struct table *table)
{
    if (table->point_line == 0 || table->comma_line == 0)
        return;
    size_t later = table->point_line > table->comma_line ? table->point_line : table->comma_line;
    diagnose_warning(intake, (where){table->file, later, ""}, "one of them throughout",
                     "some numbers have a decimal comma, others a decimal point");
}

size_t table_column(const struct table *table, const char *name)
{
    for (size_t i = 0; i < table->column_count; i++)
        if (strcasecmp(name, table_header(table, i)) == 0)
            return i;
    for (size_t i = 0; i < table->column_count; i++) {
        const char *means = column_meant(table_header(table, i));
        if (means && strcmp(name, means) == 0)
            return i;
    }
    return TABLE_NO_COLUMN;
}

const struct column *column_find(const struct column *columns, size_t count, const char *name,
                                 const char **nearest)
{
    struct nearest known = {name, NULL, 0};
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(columns[i].name, name) == 0)
            return &columns[i];
    for (size_t i = 0; i < count && nearest; i++)
        nearest_offer(&known, columns[i].name);
    if (nearest)
        *nearest = known.name;
    return NULL;
}
