/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* CSV files as libcsv reads them, for the tests of what is written. */
#ifndef SPOTFIELD_TESTS_REPORT_TABLE_H
#define SPOTFIELD_TESTS_REPORT_TABLE_H

#include <stddef.h>

enum { CELLS_MAX = 4096 };

/* In strict mode, header included; ended with forget. */
typedef struct table {
    char *cells[CELLS_MAX];
    size_t count, columns, rows;
} table;

void read_back(const char *content, size_t count, table *read);
void forget(table *read);

/* A cell below a heading, as a text or as a number, row 0 being the header; fail the test where
 * there is none. */
const char *cell(const table *read, size_t row, const char *heading);
double number(const table *read, size_t row, const char *heading);

#endif
