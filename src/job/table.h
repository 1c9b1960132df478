/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A CSV file as a rectangle of cells that know their line and their bytes: what every file of a job
 * is read from, and changed in.
 *
 * RFC 4180 as spreadsheets write it: comma, semicolon or tab between cells (the header line
 * decides), CRLF, LF or CR between lines, cells in quotation marks, a UTF-8 byte order mark, a
 * first line "sep=;". Beyond it: a line whose first character is # is a comment, rows of blank
 * cells are passed over, blanks about a cell are dropped, a short row is filled with blank cells,
 * blank cells beyond the header are dropped, and the apostrophe that our own files put before a
 * leading = + - @ is taken off. */
#ifndef SPOTFIELD_JOB_TABLE_H
#define SPOTFIELD_JOB_TABLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/text.h"
#include "job/intake.h"

struct table_cell {
    uint32_t offset;     /* of its text inside the table's bytes */
    uint32_t line;       /* physical line it begins on, from 1 */
    uint32_t start, end; /* where it lies in the file, quotation marks and blanks about it included;
                            both at the row's end where the row is too short for it */
};

struct table_row {
    uint32_t start, end; /* where it lies in the file, without its line end */
    uint32_t cells;      /* that stand in it, beyond the header too */
};

/* Start as { 0 }; end with table_free, whatever the reading answered. */
struct table {
    const char *file; /* name inside the job folder; not owned */
    char separator;
    size_t column_count; /* named columns, or unnamed ones before them */
    size_t row_count;    /* below the header */
    size_t header_line;
    text bytes;               /* every cell's text, each with its NUL */
    struct table_cell *cells; /* header and rows, column_count each */
    size_t cell_count, cell_capacity;
    struct table_row *rows; /* the header first */
    size_t row_capacity;
    size_t point_line, comma_line; /* first number with a decimal point, a comma; 0 none */
};

/* Reads job->folder/file. FILE_READ also where surplus cells or twin columns were complained about:
 * the rest of the file can still be checked. */
file_state table_read(struct intake *intake, const char *file, bool needed, struct table *table);

/* The same from bytes in memory, which hold no NUL; of their encoding nothing is asked. */
file_state table_parse(struct intake *intake, const char *file, const char *bytes, size_t size,
                       struct table *table);

/* Name of a column; "" where it has none. */
const char *table_header(const struct table *table, size_t column);

/* Text of a cell below the header, "" where blank, and the line it begins on. */
const char *table_text(const struct table *table, size_t row, size_t column);
size_t table_line(const struct table *table, size_t row, size_t column);

void table_free(struct table *table);

#endif
