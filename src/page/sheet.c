/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finds the cells of a CSV file without changing a byte of it, by the rules of job/table.h. */
#include "page/sheet.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/memory.h"
#include "job/cell_text.h"
#include "job/column.h"
#include "spotfield/job.h"

static bool ends_line(const sheet *of, size_t at)
{
    return of->bytes[at] == '\n' || of->bytes[at] == '\r';
}

static size_t after_line_end(const sheet *of, size_t at)
{
    if (at + 1 < of->size && of->bytes[at] == '\r' && of->bytes[at + 1] == '\n')
        return at + 2;
    return at < of->size ? at + 1 : at;
}

static size_t line_end_at(const sheet *of, size_t at)
{
    while (at < of->size && !ends_line(of, at))
        at++;
    return at;
}

/* End of the cell that starts at `at`; SHEET_NONE where its quotation marks do not match. */
static size_t cell_end(const sheet *of, size_t at)
{
    size_t start = at;
    bool quoted = false;
    for (; at < of->size; at++) {
        char byte = of->bytes[at];
        if (byte == '"')
            quoted = !quoted;
        else if (!quoted && (byte == of->separator || ends_line(of, at)))
            break;
    }
    return quoted || at - start > (1u << 20) ? SHEET_NONE : at;
}

bool sheet_blank(const char *at, const char *end)
{
    bool quoted = false;
    while (at < end) {
        size_t blank = cell_text_blank(at, end);
        bool doubled = quoted && end - at >= 2 && memcmp(at, "\"\"", 2) == 0;
        if (blank == 0 && (*at != '"' || doubled))
            return false;
        quoted = blank == 0 ? !quoted : quoted;
        at += blank > 0 ? blank : 1;
    }
    return true;
}

static sf_status add_cell(sheet *in, size_t start, size_t end)
{
    sheet_cell *grown =
        array_grow(in->cells, &in->cell_capacity, in->cell_count + 1, sizeof *in->cells);
    if (!grown)
        return SF_ERROR_MEMORY;
    in->cells = grown;
    in->cells[in->cell_count++] = (sheet_cell){start, end};
    return SF_OK;
}

/* Reads the cells of a row; *blank where none of them holds anything. */
static sf_status read_cells(sheet *in, sheet_row *row, bool *blank)
{
    row->cell = in->cell_count;
    for (size_t at = row->start;; at++) {
        size_t end = cell_end(in, at);
        if (end == SHEET_NONE)
            return SF_ERROR_DATA;
        if (add_cell(in, at, end) != SF_OK)
            return SF_ERROR_MEMORY;
        *blank = *blank && sheet_blank(in->bytes + at, in->bytes + end);
        at = row->end = end;
        if (end >= in->size || in->bytes[end] != in->separator)
            break;
    }
    row->count = in->cell_count - row->cell;
    row->next = after_line_end(in, row->end);
    return SF_OK;
}

static sf_status read_row(sheet *in, size_t *at)
{
    sheet_row row = {.start = *at};
    bool blank = true;
    sf_status status = read_cells(in, &row, &blank);
    if (status != SF_OK)
        return status;
    *at = row.next;
    if (blank) {
        in->cell_count = row.cell;
        return SF_OK;
    }
    sheet_row *grown = array_grow(in->rows, &in->row_capacity, in->row_count + 1, sizeof *in->rows);
    if (!grown)
        return SF_ERROR_MEMORY;
    in->rows = grown;
    in->rows[in->row_count++] = row;
    return SF_OK;
}

/* A whole number part, one comma, digits: "36,1". */
static bool has_decimal_comma(const sheet *of, const sheet_cell *cell)
{
    size_t at = cell->start, digits = 0, commas = 0;
    for (; at < cell->end; at++) {
        char byte = of->bytes[at];
        commas += byte == ',';
        digits += byte >= '0' && byte <= '9';
        if (!strchr("0123456789,-\" ", byte))
            return false;
    }
    return commas == 1 && digits > 1;
}

static const char *find_line_end(const sheet *of)
{
    size_t at = line_end_at(of, 0);
    if (at >= of->size || of->bytes[at] == '\n')
        return "\n";
    return at + 1 < of->size && of->bytes[at + 1] == '\n' ? "\r\n" : "\r";
}

/* Passes over the byte order mark and a line "sep=;", and settles the separator. */
static size_t open_sheet(sheet *in)
{
    size_t at = in->size >= 3 && memcmp(in->bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    size_t length = separator_line(in->bytes + at, in->size - at, &in->separator);
    if (length == 0)
        in->separator = separator_find(in->bytes + at, in->size - at);
    else
        at = after_line_end(in, at + length);
    in->line_end = find_line_end(in);
    return at;
}

static sf_status find_cells(sheet *in)
{
    sf_status status = SF_OK;
    size_t at = open_sheet(in);
    while (status == SF_OK && at < in->size) {
        if (in->bytes[at] == '#')
            at = after_line_end(in, line_end_at(in, at));
        else
            status = read_row(in, &at);
    }
    for (size_t i = 0; i < in->cell_count && !in->decimal_comma; i++)
        in->decimal_comma = has_decimal_comma(in, &in->cells[i]);
    if (status == SF_OK && (in->row_count == 0 || in->rows[0].count > SF_COLUMNS_MAX))
        status = SF_ERROR_DATA;
    return status;
}

sf_status sheet_read(sheet *into, char *bytes, size_t size)
{
    *into = (sheet){.bytes = bytes, .size = size};
    sf_status status = memchr(bytes, '\0', size) ? SF_ERROR_DATA : find_cells(into);
    if (status != SF_OK)
        sheet_clear(into);
    return status;
}

void sheet_clear(sheet *discarded)
{
    free(discarded->bytes);
    free(discarded->rows);
    free(discarded->cells);
    *discarded = (sheet){0};
}

/* --- asking --- */

static char *copy_bytes(const sheet *of, size_t start, size_t end)
{
    text made = {0};
    text_add_bytes(&made, of->bytes + start, end - start);
    return text_take(&made);
}

static char *raw_cell(const sheet *of, size_t row, size_t column)
{
    const sheet_row *in = &of->rows[row];
    if (column >= in->count)
        return text_copy("");
    const sheet_cell *cell = &of->cells[in->cell + column];
    return copy_bytes(of, cell->start, cell->end);
}

/* Takes quotation marks away in place: those about the cell, and one of each doubled pair. */
static void unquote(char *raw)
{
    char *to = raw;
    bool quoted = false;
    for (const char *from = raw; *from; from++) {
        bool mark = *from == '"';
        if (mark && quoted && from[1] == '"')
            *to++ = *from++;
        else if (mark)
            quoted = !quoted;
        else
            *to++ = *from;
    }
    *to = '\0';
}

char *sheet_text(const sheet *of, size_t row, size_t column)
{
    char *raw = raw_cell(of, row, column);
    if (!raw)
        return NULL;
    unquote(raw);
    const char *start = raw, *end = raw + strlen(raw);
    cell_text_trim(&start, &end);
    size_t length = (size_t)(end - start);
    memmove(raw, start, length);
    raw[length] = '\0';
    return raw;
}

sf_status sheet_column(const sheet *of, const char *name, size_t *column)
{
    size_t named = SHEET_NONE, meaning = SHEET_NONE;
    for (size_t at = 0; at < of->rows[0].count && named == SHEET_NONE; at++) {
        char *header = sheet_text(of, 0, at);
        if (!header)
            return SF_ERROR_MEMORY;
        const char *meant = column_meant(header);
        if (strcasecmp(header, name) == 0)
            named = at;
        else if (meaning == SHEET_NONE && meant && strcmp(meant, name) == 0)
            meaning = at;
        free(header);
    }
    *column = named != SHEET_NONE ? named : meaning;
    return SF_OK;
}

char *sheet_text_of(const sheet *of, size_t row, const char *name)
{
    size_t column = SHEET_NONE;
    if (sheet_column(of, name, &column) != SF_OK)
        return NULL;
    return column == SHEET_NONE ? text_copy("") : sheet_text(of, row, column);
}

/* --- changes, new bytes are put together from the old ones and read anew --- */

/* Takes the new bytes in place of the old, where they can be read. */
static sf_status take_bytes(sheet *in, text *made)
{
    if (made->failed) {
        text_clear(made);
        return SF_ERROR_MEMORY;
    }
    sheet read = {0};
    size_t size = made->length;
    char *bytes = text_take(made);
    if (!bytes)
        return SF_ERROR_MEMORY;
    sf_status status = sheet_read(&read, bytes, size);
    if (status != SF_OK)
        return status;
    read.decimal_comma = read.decimal_comma || in->decimal_comma;
    sheet_clear(in);
    *in = read;
    return SF_OK;
}

/* Puts `raw` in place of the bytes from start to end. */
static sf_status splice(sheet *in, size_t start, size_t end, const char *raw)
{
    text made = {0};
    text_add_bytes(&made, in->bytes, start);
    text_add(&made, raw);
    text_add_bytes(&made, in->bytes + end, in->size - end);
    return take_bytes(in, &made);
}

sf_status sheet_set_raw(sheet *in, size_t row, size_t column, const char *raw)
{
    const sheet_row *of = &in->rows[row];
    if (column < of->count) {
        const sheet_cell *cell = &in->cells[of->cell + column];
        return splice(in, cell->start, cell->end, raw);
    }
    text made = {0};
    for (size_t missing = of->count; missing <= column; missing++)
        text_add_bytes(&made, &in->separator, 1);
    text_add(&made, raw);
    sf_status status = made.failed ? SF_ERROR_MEMORY : splice(in, of->end, of->end, made.bytes);
    text_clear(&made);
    return status;
}

sf_status sheet_add_column(sheet *in, const char *name)
{
    return sheet_set_raw(in, 0, in->rows[0].count, name);
}

sf_status sheet_insert_raw(sheet *in, size_t before_row, const char *raw)
{
    bool inside = before_row < in->row_count;
    const sheet_row *last = &in->rows[in->row_count - 1];
    size_t at = inside ? in->rows[before_row].start : last->next;
    bool line_is_open = !inside && last->next == last->end;
    text made = {0};
    if (line_is_open)
        text_add(&made, in->line_end);
    text_add(&made, raw);
    if (!line_is_open)
        text_add(&made, in->line_end);
    sf_status status = made.failed ? SF_ERROR_MEMORY : splice(in, at, at, made.bytes);
    text_clear(&made);
    return status;
}

sf_status sheet_delete(sheet *in, size_t row)
{
    return splice(in, in->rows[row].start, in->rows[row].next, "");
}

/* --- cells to be --- */

static bool is_number(const char *words)
{
    size_t digits = 0, points = 0;
    if (*words == '-' || *words == '+')
        words++;
    for (; *words; words++) {
        points += *words == '.' || *words == ',';
        digits += *words >= '0' && *words <= '9';
        if (!strchr("0123456789.,", *words))
            return false;
    }
    return digits > 0 && points <= 1;
}

static void add_quoted(text *into, const char *words, char separator)
{
    const char marked[] = {separator, '"', '\n', '\r', '\0'};
    if (!strpbrk(words, marked) && words[0] != '#') {
        text_add(into, words);
        return;
    }
    text_add(into, "\"");
    text_add_doubled(into, words);
    text_add(into, "\"");
}

char *sheet_quote(const sheet *of, const char *words)
{
    text guarded = {0}, made = {0};
    if (words[0] && strchr("=+-@", words[0]) && !is_number(words))
        text_add(&guarded, "'");
    text_add(&guarded, words);
    if (!guarded.failed && of->decimal_comma && is_number(words))
        for (char *at = guarded.bytes; *at; at++)
            if (*at == '.')
                *at = ',';
    if (guarded.failed)
        made.failed = true;
    else
        add_quoted(&made, guarded.bytes, of->separator);
    text_clear(&guarded);
    if (!made.failed && !made.bytes)
        text_add(&made, "");
    return text_take(&made);
}
