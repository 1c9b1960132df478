/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Changes the bytes of a CSV file where its table says that a cell or a row lies. */
#include "page/sheet.h"

#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/text.h"
#include "job/cell_text.h"

/* A whole number part, one comma, digits: "36,1". */
static bool has_decimal_comma(const char *words)
{
    size_t digits = 0, commas = 0;
    for (; *words; words++) {
        commas += *words == ',';
        digits += *words >= '0' && *words <= '9';
        if (!strchr("0123456789,-", *words))
            return false;
    }
    return commas == 1 && digits > 1;
}

static const char *find_line_end(const sheet *of)
{
    const char *lf = memchr(of->bytes, '\n', of->size), *cr = memchr(of->bytes, '\r', of->size);
    if (!cr || (lf && lf < cr))
        return "\n";
    return lf == cr + 1 ? "\r\n" : "\r";
}

static size_t after_line_end(const sheet *of, size_t at)
{
    if (at + 1 < of->size && of->bytes[at] == '\r' && of->bytes[at + 1] == '\n')
        return at + 2;
    return at < of->size ? at + 1 : at;
}

sf_status sheet_read(sheet *into, char *bytes, size_t size)
{
    sf_diagnostics dropped = {0}; /* the reading of the job tells them */
    struct intake intake = {.diagnostics = &dropped};
    *into = (sheet){.bytes = bytes, .size = size};
    file_state state =
        memchr(bytes, '\0', size) ? FILE_BAD : table_parse(&intake, "", bytes, size, &into->table);
    sf_diagnostics_clear(&dropped);
    if (state != FILE_READ || intake.memory_short) {
        sheet_clear(into);
        return intake.memory_short ? SF_ERROR_MEMORY : SF_ERROR_DATA;
    }
    into->row_count = into->table.row_count + 1;
    into->line_end = find_line_end(into);
    for (size_t i = 0; i < into->table.cell_count && !into->decimal_comma; i++)
        into->decimal_comma =
            has_decimal_comma(into->table.bytes.bytes + into->table.cells[i].offset);
    return SF_OK;
}

void sheet_clear(sheet *discarded)
{
    free(discarded->bytes);
    table_free(&discarded->table);
    *discarded = (sheet){0};
}

const char *sheet_text(const sheet *of, size_t row, size_t column)
{
    if (column >= of->table.column_count)
        return "";
    return row == 0 ? table_header(&of->table, column) : table_text(&of->table, row - 1, column);
}

const char *sheet_text_of(const sheet *of, size_t row, const char *name)
{
    return sheet_text(of, row, table_column(&of->table, name));
}

bool sheet_blank(const char *words)
{
    const char *end = words + strlen(words);
    cell_text_trim(&words, &end);
    return words == end;
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

/* A cell that the row lacks is put behind its last one. */
sf_status sheet_set_raw(sheet *in, size_t row, size_t column, const char *raw)
{
    const struct table *of = &in->table;
    size_t stand = of->rows[row].cells < of->column_count ? of->rows[row].cells : of->column_count;
    const struct table_cell *cells = &of->cells[row * of->column_count];
    if (column < stand)
        return splice(in, cells[column].start, cells[column].end, raw);
    text made = {0};
    for (size_t missing = stand; missing <= column; missing++)
        text_add_bytes(&made, &of->separator, 1);
    text_add(&made, raw);
    size_t at = cells[stand - 1].end;
    sf_status status = made.failed ? SF_ERROR_MEMORY : splice(in, at, at, made.bytes);
    text_clear(&made);
    return status;
}

sf_status sheet_add_column(sheet *in, const char *name)
{
    return sheet_set_raw(in, 0, in->table.column_count, name);
}

sf_status sheet_insert_raw(sheet *in, size_t before_row, const char *raw)
{
    bool inside = before_row < in->row_count;
    size_t end = in->table.rows[in->row_count - 1].end;
    size_t at = inside ? in->table.rows[before_row].start : after_line_end(in, end);
    bool line_is_open = !inside && at == end;
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
    const struct table_row *of = &in->table.rows[row];
    return splice(in, of->start, after_line_end(in, of->end), "");
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

char *sheet_quote(const sheet *of, const char *words)
{
    const char separators[] = {of->table.separator, '\0'};
    bool number = is_number(words), formula = words[0] && strchr("=+-@", words[0]) && !number;
    text cell = {0};
    char *written = text_copy(words);
    if (!written)
        return NULL;
    char *point = number && of->decimal_comma ? strchr(written, '.') : NULL;
    if (point)
        *point = ',';
    text_add_cell(&cell, written, separators, formula);
    free(written);
    return text_take(&cell);
}
