/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Files of one row a thing: parts, readings, sources and the like; files of one key a row. */
#ifndef SPOTFIELD_JOB_ROWS_H
#define SPOTFIELD_JOB_ROWS_H

#include <stdbool.h>
#include <stddef.h>

#include "job/column.h"

#define ROWS_NO_LINE ((size_t)-1)

struct row_kind {
    const char *file;   /* "parts.csv" */
    const char *things; /* "parts", for the sentences */
    bool needed;
    const struct column *columns;
    size_t column_count;
    size_t row_size;
    size_t line_offset; /* of the row's size_t line; ROWS_NO_LINE where it has none */
};

/* Members of a kind of row: its table of columns, of rows of type ROW. */
#define ROWS_OF(table)                                                                             \
    .columns = table, .column_count = sizeof(table) / sizeof *(table), .row_size = sizeof(ROW)

/* Reads a file into a new array of *count rows, freed by rows_free; NULL
 * where the file is not read. FILE_READ also where cells were complained about: those keep the
 * value of a blank cell. */
file_state rows_read(struct intake *intake, const struct row_kind *kind, void **rows,
                     size_t *count);

/* The same of a file in a folder of which nothing else is read. Errors as of intake_close. */
sf_status rows_read_alone(const char *folder, const struct row_kind *kind, void **rows,
                          size_t *count, sf_diagnostics *diagnostics);

/* The same from a table that was read; the texts belong to the rows, the table stays the caller's.
 */
void *rows_of_table(struct intake *intake, const struct row_kind *kind, struct table *table);

/* NULL is fine. */
void rows_free(const struct row_kind *kind, void *rows, size_t count);

/* --- files of one key a row --- */

/* Reads `file` (key, value, unit) into the struct `target`, which holds the defaults and whose
 * texts are NULL; afterwards each text is set. A value is converted from the unit beside it. Where
 * the file is absent or refused the defaults stay. `lines`, unless NULL, gets the line of each key,
 * 0 where it is not there. */
file_state keys_read(struct intake *intake, const char *file, bool needed,
                     const struct column *keys, size_t key_count, void *target, size_t *lines);

#endif
