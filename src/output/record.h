/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A row of a result told once: the names of its columns, its cells as CSV (RFC 4180 with LF line
 * ends, safe to open in a spreadsheet), or its members as JSON. */
#ifndef SPOTFIELD_OUTPUT_RECORD_H
#define SPOTFIELD_OUTPUT_RECORD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <jansson.h>

#include "core/text.h"

typedef struct record {
    enum { RECORD_CELLS, RECORD_NAMES, RECORD_MEMBERS } form;
    text *cells;     /* or names, each with a comma after it */
    json_t *members; /* as the cells but never rounded; what is not known is null */
    bool failed;     /* memory was short for a member */
} record;

/* Words from a file; NULL: none, a blank cell. A cell is quoted only where the format asks for it.
 * Where a spreadsheet would take it for a formula (first character = + - @ TAB CR LF) an apostrophe
 * goes before, as the OWASP page "CSV Injection" advises. */
void record_words(record *into, const char *name, const char *words);
/* A number that is not finite leaves its cell blank. */
void record_number(record *into, const char *name, double value, int decimals);
void record_significant(record *into, const char *name, double value, int digits);
void record_short(record *into, const char *name, double value); /* up to four decimals */
void record_count(record *into, const char *name, size_t count);
void record_yes_no(record *into, const char *name, bool yes);
/* A member made otherwise, where members are asked for; taken over. NULL: memory was short. */
void record_value(record *into, const char *name, json_t *value);

/* Tells one row of `of`; NO_ROW stands for one of whose values only the names count. A row that
 * tells nothing is left out. */
typedef void record_teller(const void *of, size_t row, record *into);
#define NO_ROW SIZE_MAX

/* A row of an array of TYPE, one of nothing for NO_ROW. */
#define ROW_OF(TYPE, list, row) ((row) == NO_ROW ? &(const TYPE){0} : &(list)[row])

/* A header and `count` rows. */
void records_csv(record_teller *tell, const void *of, size_t count, text *into);

/* A new array of as many objects; NULL when memory is short. */
json_t *records_json(record_teller *tell, const void *of, size_t count);

#endif
