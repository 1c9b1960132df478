/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A CSV file as bytes that are changed cell by cell: what is not changed stays as it is, comments,
 * separators, quotation marks, line ends and unknown columns included. */
#ifndef SPOTFIELD_PAGE_SHEET_H
#define SPOTFIELD_PAGE_SHEET_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"
#include "spotfield/status.h"

/* Where a cell lies in the bytes, quotation marks and blanks about it included. */
typedef struct sheet_cell {
    size_t start, end;
} sheet_cell;

typedef struct sheet_row {
    size_t start, end;  /* of the row, without its line end */
    size_t next;        /* first byte after its line end */
    size_t cell, count; /* its cells in the sheet's list */
} sheet_row;

/* Start as { 0 }; end with sheet_clear. rows[0] is the header once the sheet is read. */
typedef struct sheet {
    char *bytes;
    size_t size;
    char separator;
    const char *line_end; /* as most of the file has it; static */
    bool decimal_comma;   /* numbers of the file have a comma */
    sheet_row *rows;
    size_t row_count, row_capacity; /* header included */
    sheet_cell *cells;
    size_t cell_count, cell_capacity;
} sheet;

#define SHEET_NONE ((size_t)-1)

/* Takes the bytes over, whatever is answered. SF_ERROR_DATA where quotation marks do not match, no
 * header stands or it has more than SF_COLUMNS_MAX columns; SF_ERROR_MEMORY. */
sf_status sheet_read(sheet *into, char *bytes, size_t size);
void sheet_clear(sheet *discarded);

/* Column of a name, letter case aside, else the first whose heading means it, as the job reads it;
 * *column is SHEET_NONE where there is none. The one error is
 * SF_ERROR_MEMORY. */
sf_status sheet_column(const sheet *of, const char *name, size_t *column);

/* Text of a cell without quotation marks and blanks about it, "" where the row is shorter; row 0
 * is the header. New text, freed with free(); NULL when memory is short. */
char *sheet_text(const sheet *of, size_t row, size_t column);

/* The same of the column of that name; a column that is not there counts as blank. */
char *sheet_text_of(const sheet *of, size_t row, const char *name);

/* Whether nothing is left of the bytes of a cell without its quotation marks and blanks: a row of
 * such cells is none. */
bool sheet_blank(const char *at, const char *end);

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
