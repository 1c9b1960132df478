/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Gathers the cells of a file, and tells where quotation marks, line ends or limits are not as they
 * should be. */
#include "job/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/memory.h"
#include "job/csv_cells.h"

/* --- asking --- */

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

/* --- a cell --- */

struct feed {
    struct intake *intake;
    struct table *table;
    struct csv_cells in;
    size_t column;      /* cells of the open row */
    size_t row_start;   /* index of its first cell in the table */
    bool row_filled;    /* one of its cells is not blank */
    bool surplus_told;  /* its surplus was complained about */
    bool cr_ends_lines; /* the file has no LF at all */
    bool failed;
};

static void fail_memory(struct feed *feed)
{
    feed->intake->memory_short = true;
    feed->failed = true;
}

static void fail(struct feed *feed, size_t line, const char *expected, const char *what)
{
    diagnose_error(feed->intake, (where){feed->table->file, line, ""}, expected, "%s", what);
    feed->failed = true;
}

static void fail_length(struct feed *feed, const char *expected)
{
    char what[64];
    snprintf(what, sizeof what, "a cell is longer than the limit of %u bytes", SF_FIELD_BYTES_MAX);
    fail(feed, feed->in.start_line, expected, what);
}

static size_t line_of(const struct csv_cells *in, const char *place)
{
    size_t line = in->start_line;
    for (const char *at = in->bytes + in->start; at < place; at++)
        line += *at == '\n' || (*at == '\r' && at[1] != '\n');
    return line;
}

/* What is wrong with the cell at hand in the order of its bytes. */
static void check_cell(struct feed *feed, bool is_closed)
{
    const struct csv_cells *in = &feed->in;
    const char *start = in->bytes + in->start, *end = in->bytes + in->end;
    const char *odd = csv_misplaced(start, end);
    size_t most = 2 * SF_FIELD_BYTES_MAX + 2; /* each byte a doubled quotation mark */
    bool has_lone_cr = in->end < in->size && *end == '\r' &&
                       (in->end + 1 == in->size || end[1] != '\n') && !feed->cr_ends_lines;
    if (odd && odd < start + most)
        fail(feed, line_of(in, odd), "quotation marks about a whole cell, and doubled inside it",
             "there is a quotation mark in the middle of a cell");
    else if ((size_t)(end - start) > most)
        fail_length(feed, is_closed ? "" : "its closing quotation mark");
    else if (!is_closed)
        fail(feed, in->start_line, "its closing quotation mark",
             "a quotation mark opened here is never closed");
    else if (has_lone_cr)
        fail(feed, line_of(in, end), "line ends LF or CRLF",
             "there is a lone carriage return in the middle of a line");
}

/* Offset 0 of the table's bytes holds the NUL that all blank cells share. */
static void add_cell(struct feed *feed, size_t offset, size_t line)
{
    struct table *table = feed->table;
    struct table_cell *grown = array_grow(table->cells, &table->cell_capacity,
                                          table->cell_count + 1, sizeof *table->cells);
    if (!grown) {
        fail_memory(feed);
        return;
    }
    table->cells = grown;
    table->cells[table->cell_count++] = (struct table_cell){(uint32_t)offset, (uint32_t)line};
}

static void diagnose_of_surplus(struct feed *feed, const char *cell)
{
    if (!feed->surplus_told)
        diagnose_error(feed->intake, (where){feed->table->file, feed->in.start_line, ""},
                       "no more cells than the header names",
                       "cell %zu, \"%s\", lies beyond the %zu columns of the header",
                       feed->column + 1, excerpt_of(cell).text, feed->table->column_count);
    feed->surplus_told = true;
}

/* Takes the text that stands behind `offset` in the table's bytes, "" where nothing does. */
static void place_cell(struct feed *feed, size_t offset)
{
    struct table *table = feed->table;
    bool in_header = table->column_count == 0, is_blank = offset == table->bytes.length;
    size_t most = in_header ? SF_COLUMNS_MAX : table->column_count;
    if (feed->column < most) {
        if (!is_blank)
            text_add_bytes(&table->bytes, "", 1);
        add_cell(feed, is_blank ? 0 : offset, feed->in.start_line);
    } else if (!is_blank && in_header) {
        diagnose_error(feed->intake, (where){table->file, feed->in.start_line, ""}, "",
                       "the header has more columns than the limit of %u", SF_COLUMNS_MAX);
        feed->failed = true;
    } else if (!is_blank) {
        diagnose_of_surplus(feed, table->bytes.bytes + offset);
        table->bytes.length = offset;
        table->bytes.bytes[offset] = '\0';
    }
    feed->column++;
    feed->row_filled = feed->row_filled || !is_blank;
}

static void read_cell(struct feed *feed)
{
    text *bytes = &feed->table->bytes;
    bool is_closed = csv_next_cell(&feed->in);
    size_t offset = bytes->length;
    check_cell(feed, is_closed);
    if (feed->failed)
        return;
    csv_add_text(bytes, feed->in.bytes + feed->in.start, feed->in.bytes + feed->in.end);
    if (bytes->failed)
        fail_memory(feed);
    else if (bytes->length - offset > SF_FIELD_BYTES_MAX)
        fail_length(feed, "");
    else
        place_cell(feed, offset);
    if (bytes->failed)
        fail_memory(feed);
}

/* --- a row --- */

static void diagnose_of_twins(struct feed *feed)
{
    const struct table *table = feed->table;
    for (size_t column = 1; column < table->column_count; column++)
        for (size_t before = 0; before < column; before++) {
            const char *name = table_header(table, column);
            if (name[0] == '\0' || strcasecmp(name, table_header(table, before)) != 0)
                continue;
            diagnose_error(feed->intake,
                           (where){table->file, table->header_line, excerpt_of(name).text},
                           "each column once", "this column appears twice in the header");
            break;
        }
}

static void end_header(struct feed *feed)
{
    struct table *table = feed->table;
    while (table->cells[table->cell_count - 1].offset == 0)
        table->cell_count--;
    table->column_count = table->cell_count;
    table->header_line = table->cells[0].line;
    diagnose_of_twins(feed);
}

static void end_row(struct feed *feed)
{
    struct table *table = feed->table;
    size_t line = table->cells[feed->row_start].line;
    for (; feed->column < table->column_count && !feed->failed; feed->column++)
        add_cell(feed, 0, line);
    if (++table->row_count <= SF_ROWS_MAX)
        return;
    diagnose_error(feed->intake, (where){table->file, line, ""}, "",
                   "the file has more rows than the limit of %u", SF_ROWS_MAX);
    feed->failed = true;
}

static void read_row(struct feed *feed)
{
    feed->row_start = feed->table->cell_count;
    feed->column = 0;
    feed->row_filled = feed->surplus_told = false;
    do
        read_cell(feed);
    while (!feed->failed && !feed->in.ends_row);
    if (feed->failed)
        return;
    if (!feed->row_filled)
        feed->table->cell_count = feed->row_start;
    else if (feed->table->column_count == 0)
        end_header(feed);
    else
        end_row(feed);
}

/* --- the file --- */

file_state table_parse(struct intake *intake, const char *file, const char *bytes, size_t size,
                       struct table *table)
{
    table->file = file;
    if (!file_bytes_check(intake, file, bytes, size))
        return FILE_BAD;
    struct feed feed = {.intake = intake, .table = table, .in = csv_open(bytes, size)};
    feed.cr_ends_lines = memchr(bytes, '\n', size) == NULL;
    table->separator = feed.in.separator;
    text_add_bytes(&table->bytes, "", 1);
    if (table->bytes.failed)
        fail_memory(&feed);
    else if (!strchr(",;\t", table->separator))
        fail(&feed, 1, "a comma, a semicolon or a tab",
             "the line \"sep=\" names another separator");
    while (!feed.failed && csv_next_row(&feed.in))
        read_row(&feed);
    if (!feed.failed && table->column_count == 0)
        diagnose_error(intake, (where){file, 0, ""}, "a line of column names",
                       "the file holds no header line");
    return feed.failed || table->column_count == 0 ? FILE_BAD : FILE_READ;
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
