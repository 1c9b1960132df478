/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A CSV file as it stands in its bytes, cell by cell: what tables, pictures of numbers and the
 * sheets of the page are read through. Which bytes are a row or a cell is told by RFC 4180 with the
 * liberties of job/table.h; whether they may stand so is asked apart. */
#ifndef SPOTFIELD_JOB_CSV_CELLS_H
#define SPOTFIELD_JOB_CSV_CELLS_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"

/* Of a whole file as csv_open makes it, or of one line as { bytes, size, separator }. */
struct csv_cells {
    const char *bytes;
    size_t size;
    char separator;
    size_t at, line;   /* where the next cell begins, and its line, from 1 */
    size_t start, end; /* of the cell at hand, quotation marks and blanks about it included */
    size_t start_line;
    bool ends_row; /* it is the last one of its row */
};

/* Bytes of the byte order mark, if there is one. */
size_t csv_mark(const char *bytes, size_t size);

/* Passes over the byte order mark and a first line "sep=;" as some spreadsheets write it, and
 * settles the separator: the one that line names, whatever it is, else the one of comma, semicolon
 * and tab that the header line holds most often outside quotation marks, a comma where it holds
 * none. */
struct csv_cells csv_open(const char *bytes, size_t size);

/* Passes over comments, where a row may begin; false at the end of the file. */
bool csv_next_row(struct csv_cells *in);

/* Goes on to the next cell; false where its quotation marks do not match, it then ends with the
 * file. */
bool csv_next_cell(struct csv_cells *in);

/* The first byte of a cell that may not stand there (RFC 4180, section 2, rules 5 to 7): a
 * quotation mark in a cell that does not begin with one, or something after the one that closes it;
 * NULL where there is none. */
const char *csv_misplaced(const char *start, const char *end);

/* Adds the text of a cell: without its quotation marks, one of each doubled pair, the blanks about
 * it, and the apostrophe that guards a leading = + - @ in the files we write. */
void csv_add_text(text *into, const char *start, const char *end);

/* --- pieces of these --- */

/* Bytes of the blank that stands at `at`, which lies before `end`; 0 where none does. */
size_t cell_text_blank(const char *at, const char *end);

/* Moves *start and *end past the blanks about the text, and past the guard. */
void cell_text_trim(const char **start, const char **end);

/* Length of a first line "sep=;" without its line end, and the character it names in *separator; 0
 * where the first line is no such line. */
size_t separator_line(const char *bytes, size_t size, char *separator);

#endif
