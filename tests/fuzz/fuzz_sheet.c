/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A file as the page changes it, cell by cell: its cells lie apart in its bytes, and a change of
 * one cell is a change of that cell alone. */
#include <stdlib.h>
#include <string.h>

#include "fuzz/expect.h"
#include "fuzz/target.h"
#include "job/table.h"
#include "page/sheet.h"

static bool open_copy(sheet *into, const void *bytes, size_t size)
{
    char *copy = malloc(size + 1);
    expect(copy != NULL, "there is memory for a sheet");
    memcpy(copy, bytes, size);
    copy[size] = '\0';
    sf_status status = sheet_read(into, copy, size);
    expect(status == SF_OK || status == SF_ERROR_DATA, "bytes are a sheet or not");
    return status == SF_OK;
}

static void expect_cell(const sheet *of, size_t row, size_t column, const char *words)
{
    expect(strcmp(sheet_text(of, row, column), words) == 0, "the page sees that cell");
}

/* Every cell lies in its row, and the row in the file. */
static void expect_bytes(const sheet *of, size_t row, size_t column)
{
    const struct table *table = &of->table;
    const struct table_cell *cell = &table->cells[row * table->column_count + column];
    expect(cell->start <= cell->end && cell->end <= of->size, "a cell lies in the file");
    expect(of->table.rows[row].start <= cell->start && cell->end <= of->table.rows[row].end,
           "a cell lies in its row");
}

/* Words are put into a cell: they are read back, and the cells about it stay. */
static void expect_change(sheet *in, size_t row, size_t column, const char *words)
{
    size_t beside = column + 1, rows = in->row_count;
    char *before = strdup(sheet_text(in, row, beside)), *cell = sheet_quote(in, words);
    expect(before && cell, "there is memory for cells");
    expect(sheet_set_raw(in, row, column, cell) == SF_OK, "a quoted cell can be read");
    expect(in->row_count == rows, "no row comes or goes with a cell");
    expect_cell(in, row, column, words);
    expect_cell(in, row, beside, before);
    free(before);
    free(cell);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    sheet read;
    if (!open_copy(&read, bytes, size))
        return 0;
    for (size_t row = 0; row < read.row_count; row++)
        for (size_t column = 0; column < read.table.column_count; column++)
            expect_bytes(&read, row, column);
    if (read.row_count > 1) {
        size_t last = read.row_count - 1;
        expect_change(&read, 1, 0, "#a \"b\", c; d");
        expect_change(&read, last, read.table.column_count - 1, "blue");
    }
    sheet_clear(&read);
    return 0;
}
