/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Changes a sheet: new bytes are put together from the old ones and read anew. */
#include <stdlib.h>
#include <string.h>

#include "page/sheet.h"

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
    for (; *words; words++)
        text_add_bytes(into, *words == '"' ? "\"\"" : words, *words == '"' ? 2 : 1);
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
