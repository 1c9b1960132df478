/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Values of a row as cells of CSV and as members of JSON, by jansson. */
#include "output/record.h"

#include <string.h>

#include "core/digits.h"
#include "core/json_values.h"

static bool reads_as_formula(const char *words)
{
    return words[0] != '\0' && strchr("=+-@\t\r\n", words[0]) != NULL;
}

/* Separators of other locales are quoted too: some readers would split. */
static void add_words(text *into, const char *words)
{
    text_add_cell(into, words, ",;\t", reads_as_formula(words));
}

/* Ends a cell, or adds the name of its column; whether a member is asked for in their place. */
static bool asks_member(record *into, const char *name)
{
    if (into->form == RECORD_MEMBERS)
        return true;
    text_addf(into->cells, "%s,", into->form == RECORD_NAMES ? name : "");
    return false;
}

void record_value(record *into, const char *name, json_t *value)
{
    if (json_object_set_new(into->members, name, value) != 0)
        into->failed = true;
}

void record_words(record *into, const char *name, const char *words)
{
    if (into->form == RECORD_CELLS && words)
        add_words(into->cells, words);
    if (asks_member(into, name))
        record_value(into, name, words ? value_words(words) : json_null());
}

void record_number(record *into, const char *name, double value, int decimals)
{
    if (into->form == RECORD_CELLS)
        number_add(into->cells, value, decimals);
    if (asks_member(into, name))
        record_value(into, name, value_number(value));
}

void record_significant(record *into, const char *name, double value, int digits)
{
    if (into->form == RECORD_CELLS)
        number_add_significant(into->cells, value, digits);
    if (asks_member(into, name))
        record_value(into, name, value_number(value));
}

void record_short(record *into, const char *name, double value)
{
    if (into->form == RECORD_CELLS)
        number_add_short(into->cells, value);
    if (asks_member(into, name))
        record_value(into, name, value_number(value));
}

void record_count(record *into, const char *name, size_t count)
{
    if (into->form == RECORD_CELLS)
        text_addf(into->cells, "%zu", count);
    if (asks_member(into, name))
        record_value(into, name, value_count(count));
}

void record_yes_no(record *into, const char *name, bool yes)
{
    if (into->form == RECORD_CELLS)
        text_add(into->cells, yes ? "yes" : "no");
    if (asks_member(into, name))
        record_value(into, name, json_boolean(yes));
}

static void add_row(record_teller *tell, const void *of, size_t row, record *into)
{
    size_t before = into->cells->length;
    tell(of, row, into);
    if (!into->cells->failed && into->cells->length > before)
        into->cells->bytes[into->cells->length - 1] = '\n';
}

void records_csv(record_teller *tell, const void *of, size_t count, text *into)
{
    add_row(tell, of, NO_ROW, &(record){.form = RECORD_NAMES, .cells = into});
    for (size_t i = 0; i < count; i++)
        add_row(tell, of, i, &(record){.form = RECORD_CELLS, .cells = into});
}

json_t *records_json(record_teller *tell, const void *of, size_t count)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < count; i++) {
        record row = {.form = RECORD_MEMBERS, .members = json_object()};
        tell(of, i, &row);
        if (row.failed) {
            json_decref(row.members);
            row.members = NULL;
        }
        all = list_append(all, row.members);
    }
    return all;
}
