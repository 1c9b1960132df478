/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How the numbers stand in a file that a camera wrote: what parts the cells, which lines are words
 * about the picture, and which row and column only number the pixels. */
#ifndef SPOTFIELD_JOB_MATRIX_FORM_H
#define SPOTFIELD_JOB_MATRIX_FORM_H

#include <stdbool.h>
#include <stddef.h>

/* A line of bytes, its end counted. */
struct matrix_line {
    const char *at;
    size_t length;
};

struct matrix_form {
    char separator;          /* also another than comma, semicolon and tab, where "sep=" names it */
    size_t separator_line;   /* that of "sep="; 0: none */
    char ending;             /* of a line: LF, or CR where the file has no LF at all */
    size_t columns;          /* cells of most lines */
    size_t first, last;      /* lines that hold the picture, counted from 1; 0: none */
    size_t words;            /* lines of words before and after them */
    bool has_index_row;      /* the line before `first` numbers the columns */
    bool has_index_column;   /* the first cell of each line numbers the rows */
    bool has_parted_numbers; /* every second cell holds the decimals of the one before it */
};

/* Finds all of it; no fault of a cell is of interest here. */
void matrix_form_find(const char *bytes, size_t size, struct matrix_form *found);

/* The next line from *at on, which moves behind it; false at the end. */
bool matrix_line_next(const char **at, const char *end, char ending, struct matrix_line *line);

/* A comment, or nothing. */
bool matrix_line_is_void(const struct matrix_line *line);

/* Whether a line is words about the picture rather than a row of it. */
bool matrix_line_is_words(const struct matrix_form *form, const struct matrix_line *line);

/* Whether a cell says that there is no temperature: NaN, n/a, null, none, or dashes alone. */
bool matrix_cell_is_missing(const char *start, const char *end);

#endif
