/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cells of a table once it is read; the reading itself is in table_parse.c. */
#include "job/table.h"

#include <stdlib.h>

static const struct table_cell *cell_at(const struct table *table, size_t line_index, size_t column)
{
    return &table->cells[line_index * table->column_count + column];
}

const char *table_header(const struct table *table, size_t column)
{
    return table->bytes.bytes + cell_at(table, 0, column)->offset;
}

const char *table_text(const struct table *table, size_t row, size_t column)
{
    return table->bytes.bytes + cell_at(table, row + 1, column)->offset;
}

size_t table_line(const struct table *table, size_t row, size_t column)
{
    return cell_at(table, row + 1, column)->line;
}

file_state table_read(struct intake *intake, const char *file, bool needed, struct table *table)
{
    char *bytes = NULL;
    size_t size = 0;
    file_state state = file_bytes_read(intake, file, needed, &bytes, &size);
    if (state == FILE_READ)
        state = table_parse(intake, file, bytes, size, table);
    free(bytes);
    return state;
}

void table_warn_of_mixed_decimals(struct intake *intake, const struct table *table)
{
    if (table->point_line == 0 || table->comma_line == 0)
        return;
    size_t later = table->point_line > table->comma_line ? table->point_line : table->comma_line;
    diagnose_warning(intake, (where){table->file, later, ""}, "one of them throughout",
                     "some numbers have a decimal comma, others a decimal point");
}

void table_free(struct table *table)
{
    text_clear(&table->bytes);
    free(table->cells);
    table->cells = NULL;
    table->cell_count = table->cell_capacity = 0;
}
