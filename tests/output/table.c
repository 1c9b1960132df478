/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads tables back by libcsv. */
#include "output/table.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"

static void take_cell(void *bytes, size_t count, void *context)
{
    table *read = context;
    assert_true(read->count < CELLS_MAX);
    char *cell = calloc(count + 1, 1);
    if (count > 0)
        memcpy(cell, bytes, count);
    read->cells[read->count++] = cell;
}

static void take_row(int end, void *context)
{
    (void)end;
    table *read = context;
    if (read->rows++ == 0)
        read->columns = read->count;
    assert_int_equal(read->count, read->columns * read->rows);
}

void read_back(const char *content, size_t count, table *read)
{
    struct csv_parser parser;
    *read = (table){0};
    assert_int_equal(csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI), 0);
    csv_set_space_func(&parser, NULL);
    assert_int_equal(csv_parse(&parser, content, count, take_cell, take_row, read), count);
    assert_int_equal(csv_fini(&parser, take_cell, take_row, read), 0);
    csv_free(&parser);
}

void forget(table *read)
{
    for (size_t i = 0; i < read->count; i++)
        free(read->cells[i]);
}

const char *cell(const table *read, size_t row, const char *heading)
{
    for (size_t column = 0; column < read->columns; column++)
        if (strcmp(read->cells[column], heading) == 0)
            return read->cells[row * read->columns + column];
    fail_msg("no column %s", heading);
    return "";
}

double number(const table *read, size_t row, const char *heading)
{
    char *end;
    const char *written = cell(read, row, heading);
    double value = strtod(written, &end);
    assert_true(end != written && *end == '\0');
    return value;
}
