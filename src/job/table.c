/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Feeds a file to libcsv in pieces of one line, since libcsv tells no line numbers, and gathers its
 * cells.
 * libcsv runs strict: RFC 4180 section 2, rules 5 to 7, on quotation marks is enforced. */
#include "job/table.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/memory.h"
#include "job/cell_text.h"

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
        state = file_bytes_check(intake, file, bytes, size)
                    ? table_parse(intake, file, bytes, size, table)
                    : FILE_BAD;
    free(bytes);
    return state;
}

void table_free(struct table *table)
{
    text_clear(&table->bytes);
    free(table->cells);
    free(table->rows);
    *table = (struct table){0};
}

/* --- the reading --- */

struct feed {
    struct intake *intake;
    struct table *table;
    const char *bytes;
    size_t size, position;
    size_t line;                 /* of the byte at hand */
    size_t cell_line;            /* where the open cell begins; 0 while it has only blanks */
    size_t cell_bytes;           /* of the open cell, quotation marks included */
    size_t cell_start, cell_end; /* its bytes, of which the end is known once it is there */
    size_t column;               /* cells of the open row */
    size_t row_start;            /* where it begins in the file */
    size_t row_cell;             /* index of its first cell in the table */
    bool row_filled;             /* one of its cells is not blank */
    bool surplus_told;           /* its surplus was complained about */
    bool quoted;                 /* between quotation marks */
    bool cr_ends_lines;          /* the file has no LF at all */
    bool failed;                 /* libcsv's callbacks cannot stop it: the feeder looks here */
};

static where here(const struct feed *feed, size_t line)
{
    return (where){feed->table->file, line, ""};
}

static void fail_memory(struct feed *feed)
{
    feed->intake->memory_short = true;
    feed->failed = true;
}

static void add_cell(struct feed *feed, const char *start, const char *end, size_t line)
{
    struct table *table = feed->table;
    struct table_cell *made =
        array_add(&table->cells, &table->cell_count, &table->cell_capacity, sizeof *made);
    if (!made) {
        fail_memory(feed);
        return;
    }
    /* offset 0 holds the NUL that all blank cells share */
    size_t offset = start < end ? table->bytes.length : 0;
    if (offset > 0) {
        text_add_bytes(&table->bytes, start, (size_t)(end - start));
        text_add_bytes(&table->bytes, "", 1);
    }
    if (table->bytes.failed)
        fail_memory(feed);
    *made = (struct table_cell){(uint32_t)offset, (uint32_t)line, (uint32_t)feed->cell_start,
                                (uint32_t)feed->cell_end};
}

static void diagnose_of_surplus(struct feed *feed, const char *start, const char *end, size_t line)
{
    char cell[SF_FIELD_BYTES_MAX + 1];
    memcpy(cell, start, (size_t)(end - start));
    cell[end - start] = '\0';
    if (!feed->surplus_told)
        diagnose_error(feed->intake, here(feed, line), "no more cells than the header names",
                       "cell %zu, \"%s\", lies beyond the %zu columns of the header",
                       feed->column + 1, excerpt_of(cell).text, feed->table->column_count);
    feed->surplus_told = true;
}

static void place_cell(struct feed *feed, const char *start, const char *end, size_t line)
{
    bool in_header = feed->table->column_count == 0;
    size_t most = in_header ? SF_COLUMNS_MAX : feed->table->column_count;
    if (feed->column < most) {
        add_cell(feed, start, end, line);
    } else if (start < end && in_header) {
        diagnose_error(feed->intake, here(feed, line), "",
                       "the header has more columns than the limit of %u", SF_COLUMNS_MAX);
        feed->failed = true;
    } else if (start < end) {
        diagnose_of_surplus(feed, start, end, line);
    }
    feed->column++;
    feed->cell_start = feed->cell_end + 1;
}

static void on_cell(void *bytes, size_t size, void *context)
{
    struct feed *feed = context;
    size_t line = feed->cell_line > 0 ? feed->cell_line : feed->line;
    feed->cell_line = feed->cell_bytes = 0;
    if (feed->failed)
        return;
    if (size > SF_FIELD_BYTES_MAX) {
        diagnose_error(feed->intake, here(feed, line), "",
                       "a cell is longer than the limit of %u bytes", SF_FIELD_BYTES_MAX);
        feed->failed = true;
        return;
    }
    const char *start = bytes ? bytes : "", *end = start + size;
    cell_text_trim(&start, &end);
    feed->row_filled = feed->row_filled || start < end;
    place_cell(feed, start, end, line);
}

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

static void add_row(struct feed *feed)
{
    struct table *table = feed->table;
    size_t count = table->column_count > 0 ? table->row_count + 1 : 0;
    struct table_row *made = array_add(&table->rows, &count, &table->row_capacity, sizeof *made);
    if (made)
        *made = (struct table_row){(uint32_t)feed->row_start, (uint32_t)feed->cell_end,
                                   (uint32_t)feed->column};
    else
        fail_memory(feed);
}

static void end_header(struct feed *feed)
{
    struct table *table = feed->table;
    add_row(feed);
    while (table->cells[table->cell_count - 1].offset == 0)
        table->cell_count--;
    table->column_count = table->cell_count;
    table->header_line = table->cells[0].line;
    diagnose_of_twins(feed);
}

static void end_row(struct feed *feed)
{
    struct table *table = feed->table;
    add_row(feed);
    feed->cell_start = feed->cell_end;
    for (; feed->column < table->column_count && !feed->failed; feed->column++)
        add_cell(feed, "", "", table->cells[feed->row_cell].line);
    if (++table->row_count <= SF_ROWS_MAX)
        return;
    diagnose_error(feed->intake, here(feed, table->cells[feed->row_cell].line), "",
                   "the file has more rows than the limit of %u", SF_ROWS_MAX);
    feed->failed = true;
}

static void on_row(int terminator, void *context)
{
    (void)terminator;
    struct feed *feed = context;
    if (feed->failed)
        return;
    if (!feed->row_filled)
        feed->table->cell_count = feed->row_cell;
    else if (feed->table->column_count == 0)
        end_header(feed);
    else
        end_row(feed);
    feed->row_cell = feed->table->cell_count;
    feed->column = 0;
    feed->row_filled = feed->surplus_told = false;
}

/* The byte after the one at hand; 0 at the end. */
static char next_byte(const struct feed *feed)
{
    size_t next = feed->position + 1;
    return next < feed->size ? feed->bytes[next] : '\0';
}

static bool ends_line(const struct feed *feed)
{
    char byte = feed->bytes[feed->position];
    return byte == '\n' || (byte == '\r' && next_byte(feed) != '\n');
}

static bool refuse_lone_cr(struct feed *feed)
{
    if (feed->bytes[feed->position] != '\r' || next_byte(feed) == '\n' || feed->quoted ||
        feed->cr_ends_lines)
        return false;
    diagnose_error(feed->intake, here(feed, feed->line), "line ends LF or CRLF",
                   "there is a lone carriage return in the middle of a line");
    return feed->failed = true;
}

/* Bounds the buffer of libcsv, which would grow with a quotation mark that is never closed. */
static bool refuse_long_cell(struct feed *feed, size_t more)
{
    feed->cell_bytes += feed->cell_line > 0 ? more : 0;
    if (feed->cell_bytes <= 2 * SF_FIELD_BYTES_MAX + 2)
        return false;
    diagnose_error(feed->intake, here(feed, feed->cell_line),
                   feed->quoted ? "its closing quotation mark" : "",
                   "a cell is longer than the limit of %u bytes", SF_FIELD_BYTES_MAX);
    return feed->failed = true;
}

static void fail_parse(struct feed *feed, struct csv_parser *parser)
{
    feed->failed = true;
    if (csv_error(parser) == CSV_EPARSE)
        diagnose_error(feed->intake, here(feed, feed->line),
                       "quotation marks around a whole cell, and doubled inside it",
                       "there is a quotation mark in the middle of a cell");
    else
        fail_memory(feed);
}

static bool is_plain(const struct feed *feed, char byte)
{
    return byte != '"' && byte != '\n' && byte != '\r' && byte != ' ' && byte != '\t' &&
           byte != feed->table->separator;
}

/* Bytes that may be handed over at once, since they lie on one line and in one cell: plain ones and
 * the separator after them, or else a single one. */
static size_t piece_length(const struct feed *feed)
{
    const char *start = feed->bytes + feed->position;
    size_t rest = feed->size - feed->position, length = 0;
    size_t most = rest < SF_FIELD_BYTES_MAX ? rest : SF_FIELD_BYTES_MAX;
    while (length < most && is_plain(feed, start[length]))
        length++;
    bool takes_next = length == 0 || (length < most && start[length] == feed->table->separator);
    return length + takes_next;
}

static void feed_piece(struct feed *feed, struct csv_parser *parser)
{
    char first = feed->bytes[feed->position];
    size_t length = piece_length(feed);
    if (first == '"')
        feed->quoted = !feed->quoted;
    if (feed->cell_line == 0 &&
        (is_plain(feed, first) || first == '"' || first == feed->table->separator))
        feed->cell_line = feed->line;
    if (refuse_lone_cr(feed) || refuse_long_cell(feed, length))
        return;
    bool line_ends = ends_line(feed);
    feed->cell_end = feed->position + length - 1;
    if (csv_parse(parser, feed->bytes + feed->position, length, on_cell, on_row, feed) != length)
        fail_parse(feed, parser);
    feed->line += line_ends;
    feed->position += length;
}

static void skip_line(struct feed *feed)
{
    while (feed->position < feed->size && !ends_line(feed))
        feed->position++;
    feed->position++;
    feed->line++;
}

static void feed_all(struct feed *feed, struct csv_parser *parser)
{
    bool line_starts = true;
    while (feed->position < feed->size && !feed->failed) {
        bool between_rows = feed->column == 0 && feed->cell_line == 0;
        if (line_starts && between_rows && feed->bytes[feed->position] == '#') {
            skip_line(feed);
            continue;
        }
        if (line_starts && between_rows)
            feed->row_start = feed->cell_start = feed->position;
        line_starts = ends_line(feed);
        feed_piece(feed, parser);
    }
    /* after a failure csv_fini would hand over the half-read row as if it were sound */
    if (feed->failed)
        return;
    size_t opened = feed->cell_line;
    feed->cell_end = feed->size;
    if (csv_fini(parser, on_cell, on_row, feed) != 0) {
        diagnose_error(feed->intake, here(feed, opened), "its closing quotation mark",
                       "a quotation mark opened here is never closed");
        feed->failed = true;
    }
}

static int is_space_not_tab(unsigned char byte)
{
    return byte == ' ';
}

static void run_libcsv(struct feed *feed)
{
    struct csv_parser parser;
    /* CSV_STRICT_FINI has no effect without CSV_STRICT */
    if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0) {
        fail_memory(feed);
        return;
    }
    csv_set_delim(&parser, (unsigned char)feed->table->separator);
    csv_set_blk_size(&parser, SF_FIELD_BYTES_MAX);
    if (feed->table->separator == '\t')
        csv_set_space_func(&parser, is_space_not_tab);
    feed_all(feed, &parser);
    csv_free(&parser);
}

/* Passes over the byte order mark and a "sep=" line, and settles the separator. */
static bool open_feed(struct feed *feed)
{
    if (feed->size >= 3 && memcmp(feed->bytes, "\xEF\xBB\xBF", 3) == 0)
        feed->position = 3;
    const char *rest = feed->bytes + feed->position;
    size_t size = feed->size - feed->position;
    size_t length = separator_line(rest, size, &feed->table->separator);
    if (length == 0)
        feed->table->separator = separator_find(rest, size);
    feed->position += length;
    if (strchr(",;\t", feed->table->separator))
        return true;
    diagnose_error(feed->intake, here(feed, 1), "a comma, a semicolon or a tab",
                   "the line \"sep=\" names another separator");
    return false;
}

file_state table_parse(struct intake *intake, const char *file, const char *bytes, size_t size,
                       struct table *table)
{
    table->file = file;
    struct feed feed = {.intake = intake, .table = table, .bytes = bytes, .size = size, .line = 1};
    feed.cr_ends_lines = memchr(bytes, '\n', size) == NULL;
    text_add_bytes(&table->bytes, "", 1);
    if (!open_feed(&feed))
        return FILE_BAD;
    run_libcsv(&feed);
    if (!feed.failed && table->column_count == 0)
        diagnose_error(intake, (where){file, 0, ""}, "a line of column names",
                       "the file has no header line");
    return feed.failed || table->column_count == 0 ? FILE_BAD : FILE_READ;
}
