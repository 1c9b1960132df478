/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A CSV file as bytes that are changed cell by cell: what is not changed stays as it is, comments,
 * separators, quotation marks, line ends and unknown columns included. */
#ifndef SPOTFIELD_PAGE_SHEET_H
#define SPOTFIELD_PAGE_SHEET_H

#include <stdbool.h>
#include <stddef.h>

#include "job/column.h"
#include "spotfield/status.h"

/* Start as { 0 }; end with sheet_clear. */
typedef struct sheet {
    char *bytes;
    size_t size;
    struct table table;   /* its cells, as the job reads them */
    size_t row_count;     /* header included */
    const char *line_end; /* as the first line has it; static */
    bool decimal_comma;   /* numbers of the file have a comma */
} sheet;

/* Takes the bytes over, whatever is answered; their encoding may be any. SF_ERROR_DATA where they
 * are no table (see job/table.h), SF_ERROR_MEMORY. */
sf_status sheet_read(sheet *into, char *bytes, size_t size);
void sheet_clear(sheet *discarded);

/* Text of a cell as table_text gives it, "" where the row is shorter; row 0 is the header. */
const char *sheet_text(const sheet *of, size_t row, size_t column);

/* The same of the column of that name; a column that is not there counts as blank. */
const char *sheet_text_of(const sheet *of, size_t row, const char *name);

/* Whether nothing is left of the words without blanks: a row of such cells is none. */
bool sheet_blank(const char *words);

/* A text as a cell of this sheet: quoted where it must be, with the sheet's decimal sign, guarded
 * where a spreadsheet would run it as a formula. New text; NULL when memory is short. */
char *sheet_quote(const sheet *of, const char *words);

/* Changes, each of which reads the sheet anew. SF_ERROR_DATA where the result could not be read,
 * SF_ERROR_MEMORY; the sheet is then as before. `raw` holds a cell or a line as it is to stand. */
sf_status sheet_set_raw(sheet *in, size_t row, size_t column, const char *raw);
sf_status sheet_add_column(sheet *in, const char *name);
sf_status sheet_insert_raw(sheet *in, size_t before_row, const char *raw);
sf_status sheet_delete(sheet *in, size_t row);

#endif
