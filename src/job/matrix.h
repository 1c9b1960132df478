/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A CSV file of numbers alone, without header: a million of them in the time a table of texts would
 * take for a few thousand. */
#ifndef SPOTFIELD_JOB_MATRIX_H
#define SPOTFIELD_JOB_MATRIX_H

#include <stddef.h>

#include "job/intake.h"

/* What the cells may hold, and how many there may be. */
struct matrix_kind {
    const char *file;     /* "thermogram.csv" */
    const char *expected; /* of a cell, for the sentences */
    size_t columns_most, cells_most;
    const char *held, *written; /* unit of the values, and of the cells: job/number.h */
    double least, most;         /* in the unit held */
};

/* Start as { 0 }; values are freed with free(), whatever the reading answered. */
struct matrix {
    size_t columns, rows;
    float *values; /* rows x columns, the first row first; NAN a blank cell */
};

/* Reads a file, which may be absent. Separators, quotation marks, decimal marks, line ends,
 * comments and the byte order mark are those of job/table.h, but a semicolon or a tab on more than
 * half of the lines makes it the separator, and a comma inside a cell is a decimal one. Lines of
 * words before and after the numbers, and a first row or column that only counts, are passed over
 * and told as assumptions (job/matrix_form.h); a cell may say that it is missing. The first row
 * tells how many cells a row has. FILE_READ only where every cell is sound; a score of faults is
 * told one by one, the rest as a number. */
file_state matrix_read(struct intake *intake, const struct matrix_kind *kind, struct matrix *into);

#endif
