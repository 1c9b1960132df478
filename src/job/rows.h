/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Files of one row a thing: parts, readings, sources and the like. */
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
    const void *blank;  /* a row whose cells are all blank; its texts are NULL */
};

/* Reads a file into a new array of *count rows, freed by the caller with the rows' texts; NULL
 * where the file is not read. FILE_READ also where cells were complained about: those keep the
 * value of a blank cell. */
file_state rows_read(struct intake *intake, const struct row_kind *kind, void **rows,
                     size_t *count);

/* The same from a table that was read; the texts belong to the rows, the table stays the caller's.
 */
void *rows_of_table(struct intake *intake, const struct row_kind *kind, struct table *table);

#endif
