/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A file as the page changes it, cell by cell: it holds the cells that the reader of jobs sees, and
 * a change of one cell is a change of that cell alone. */
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
    char *held = sheet_text(of, row, column);
    expect(held && strcmp(held, words) == 0, "page and job see the same cell");
    free(held);
}

/* Where the reader of jobs has nothing to complain of, both see one table. */
static void expect_one_table(const sheet *of, const uint8_t *bytes, size_t size)
{
    sf_job job = {0};
    sf_diagnostics diagnostics = {0};
    struct intake intake = {.job = &job, .diagnostics = &diagnostics};
    struct table table = {0};
    file_state state = table_parse(&intake, "parts.csv", (const char *)bytes, size, &table);
    if (state == FILE_READ && diagnostics.count == 0) {
        expect(of->row_count == table.row_count + 1, "page and job see as many rows");
        for (size_t column = 0; column < table.column_count; column++) {
            expect_cell(of, 0, column, table_header(&table, column));
            for (size_t row = 0; row < table.row_count; row++)
                expect_cell(of, row + 1, column, table_text(&table, row, column));
        }
    }
    table_free(&table);
    sf_diagnostics_clear(&diagnostics);
}

/* Words are put into a cell: they are read back, and the cells about it stay. */
static void expect_change(sheet *in, size_t row, size_t column, const char *words)
{
    size_t beside = column + 1, rows = in->row_count;
    char *before = sheet_text(in, row, beside), *cell = sheet_quote(in, words);
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
    expect_one_table(&read, bytes, size);
    if (read.row_count > 1) {
        size_t last = read.row_count - 1;
        expect_change(&read, 1, 0, "#a \"b\", c; d");
        expect_change(&read, last, read.rows[last].count - 1, "blue");
    }
    sheet_clear(&read);
    return 0;
}
