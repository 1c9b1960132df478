/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Job files for the simulator: read with nothing of the product, one cell changed, the rest of
 * the file kept byte for byte. Comma separated, decimal point, `#` starts a comment line. */
#ifndef BENCHMARK_TABLE_H
#define BENCHMARK_TABLE_H

#include <stdbool.h>
#include <stddef.h>

enum { LINE_MOST = 1024, CELLS_MOST = 32 };

/* One line as it stands in the file, and where its cells begin and end. */
typedef struct table_line {
    char words[LINE_MOST];
    size_t begins[CELLS_MOST], ends[CELLS_MOST];
    size_t cells; /* 0 for a comment or an empty line */
} table_line;

typedef struct table {
    table_line *lines;
    size_t count;
    size_t header; /* its line */
} table;

/* Reads a file of a folder; false where it is not there, too long a line or memory is short.
 * *read is freed with table_free, also after false. */
bool table_read(const char *folder, const char *name, table *read);
bool table_write(const table *written, const char *folder, const char *name);
void table_free(table *freed);

/* Whether a line is a row: not the header, nor a comment. */
bool table_is_row(const table *read, size_t line);

/* A cell without its quotes, into words of LINE_MOST bytes; "" where there is no such column. */
void table_cell(const table *read, size_t line, const char *column, char *words);

/* The number in a cell, or otherwise where it is blank or there is none. */
double table_number(const table *read, size_t line, const char *column, double otherwise);

/* The value of a key in a `key,value,unit` file, or otherwise. */
double table_key(const table *read, const char *key, double otherwise);

/* Puts words in place of a cell; false where there is no such column or no room. */
bool table_put(table *changed, size_t line, const char *column, const char *words);

#endif
