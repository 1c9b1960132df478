/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Setting cells of a row, adding rows, taking one away. */
#include "page/edits.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/memory.h"
#include "spotfield/job.h"

/* --- finding the row --- */

static bool row_is(const sheet *of, size_t row, json_t *expect)
{
    const char *column;
    json_t *value;
    bool same = row > 0 && row < of->row_count;
    json_object_foreach(expect, column, value)
    {
        same = same && json_is_string(value) &&
               strcmp(sheet_text_of(of, row, column), json_string_value(value)) == 0;
    }
    return same;
}

/* The only row that is as expected. */
static sf_status find_expected(const sheet *of, json_t *expect, size_t *found)
{
    size_t count = 0;
    for (size_t row = 1; row < of->row_count; row++)
        if (row_is(of, row, expect)) {
            *found = row;
            count++;
        }
    return count == 1 ? SF_OK : SF_ERROR_DATA;
}

/* The row that is meant: the one named, else the only one that is as expected. SF_ERROR_DATA where
 * there is none. */
static sf_status find_row(const sheet *of, const json_t *op, size_t *found)
{
    json_t *named = json_object_get(op, "row"), *expect = json_object_get(op, "expect");
    json_int_t number = json_is_integer(named) ? json_integer_value(named) : -1;
    *found = number >= 0 ? (size_t)number + 1 : 0;
    if (row_is(of, *found, expect))
        return SF_OK;
    return json_object_size(expect) == 0 ? SF_ERROR_DATA : find_expected(of, expect, found);
}

/* --- setting cells --- */

/* A row that would be left blank is none any more: it is taken away by "delete", not by clearing
 * its cells, and what was its number would now be another's. */
static sf_status set_cell(sheet *in, size_t row, size_t column, const char *words)
{
    size_t count = in->row_count;
    char *cell = sheet_quote(in, words);
    sf_status status = cell ? sheet_set_raw(in, row, column, cell) : SF_ERROR_MEMORY;
    free(cell);
    return status == SF_OK && in->row_count != count ? SF_ERROR_ARGUMENT : status;
}

/* Names of columns are words of the files; a control character would make the file unreadable. */
static bool may_stand(const char *name, const char *words)
{
    size_t length = strspn(name, "abcdefghijklmnopqrstuvwxyz_0123456789");
    if (length == 0 || name[length] || strlen(words) > SF_FIELD_BYTES_MAX / 2)
        return false;
    for (; *words; words++)
        if ((unsigned char)*words < 0x20 || *words == 0x7F)
            return false;
    return true;
}

/* Finds the column, or adds it behind the others. */
static sf_status need_column(sheet *in, const char *name, size_t *column)
{
    *column = table_column(&in->table, name);
    if (*column != TABLE_NO_COLUMN)
        return SF_OK;
    if (in->table.column_count >= SF_COLUMNS_MAX)
        return SF_ERROR_ARGUMENT;
    sf_status status = sheet_add_column(in, name);
    *column = in->table.column_count - 1;
    return status;
}

static sf_status set_one(sheet *in, size_t row, const char *name, const char *words)
{
    if (!may_stand(name, words))
        return SF_ERROR_ARGUMENT;
    size_t column = 0;
    sf_status status = need_column(in, name, &column);
    return status == SF_OK ? set_cell(in, row, column, words) : status;
}

/* Sets the cells of `op` that are blank, or those that are not. */
static sf_status set_some(sheet *in, size_t row, const json_t *op, bool blank)
{
    const char *name;
    json_t *value;
    sf_status status = SF_OK;
    json_object_foreach(json_object_get(op, "set"), name, value)
    {
        if (status == SF_OK && !json_is_string(value))
            status = SF_ERROR_ARGUMENT;
        const char *words = status == SF_OK ? json_string_value(value) : NULL;
        if (words && sheet_blank(words) == blank)
            status = set_one(in, row, name, words);
    }
    return status;
}

/* The blank ones come last, so that the row stands all the while. */
static sf_status set_cells(sheet *in, size_t row, const json_t *op)
{
    sf_status status = set_some(in, row, op, false);
    return status == SF_OK ? set_some(in, row, op, true) : status;
}

static sf_status edit_set(sheet *in, const json_t *op)
{
    size_t row = 0;
    sf_status status = find_row(in, op, &row);
    return status == SF_OK ? set_cells(in, row, op) : status;
}

/* --- rows --- */

static bool sets_first_column(const sheet *of, const json_t *op)
{
    const char *name;
    json_t *value;
    json_object_foreach(json_object_get(op, "set"), name, value)
    {
        if (table_column(&of->table, name) == 0)
            return true;
    }
    return false;
}

static sf_status edit_insert(sheet *in, const json_t *op)
{
    json_t *named = json_object_get(op, "row");
    json_int_t number = json_is_integer(named) ? json_integer_value(named) : -1;
    size_t count = in->row_count;
    size_t row = number >= 0 && (size_t)number + 1 < count ? (size_t)number + 1 : count;
    /* a row of blank cells would be passed over: the mark is overwritten by the first column */
    sf_status status = sheet_insert_raw(in, row, "?");
    if (status == SF_OK)
        status = set_cells(in, row, op);
    if (status == SF_OK && !sets_first_column(in, op))
        status = sheet_set_raw(in, row, 0, "");
    if (status == SF_OK && in->row_count != count + 1)
        status = SF_ERROR_ARGUMENT; /* nothing in it that would be read back */
    return status;
}

/* --- many rows at once --- */

static sf_status add_columns_of(sheet *in, json_t *row)
{
    const char *name;
    json_t *value;
    sf_status status = SF_OK;
    json_object_foreach(row, name, value)
    {
        size_t column = 0;
        if (status == SF_OK &&
            (!json_is_string(value) || !may_stand(name, json_string_value(value))))
            status = SF_ERROR_ARGUMENT;
        if (status == SF_OK)
            status = need_column(in, name, &column);
    }
    return status;
}

/* What the row says of a column, whose name in the file may have capitals. */
static const char *cell_of(const json_t *row, const char *column)
{
    const char *name;
    json_t *value;
    json_object_foreach((json_t *)row, name, value)
    {
        if (strcasecmp(name, column) == 0)
            return json_string_value(value);
    }
    return NULL;
}

/* The cells of a row in the order of the header; a name beyond it was added to it before. */
static sf_status add_line(const sheet *in, const json_t *row, text *lines)
{
    bool any = false;
    for (size_t column = 0; column < in->table.column_count; column++) {
        const char *words = cell_of(row, sheet_text(in, 0, column));
        char *cell = words ? sheet_quote(in, words) : NULL;
        if (words && !cell)
            return SF_ERROR_MEMORY;
        text_add_bytes(lines, &in->table.separator, column > 0);
        text_add(lines, cell ? cell : "");
        any = any || (words && !sheet_blank(words));
        free(cell);
    }
    return any ? SF_OK : SF_ERROR_ARGUMENT;
}

static sf_status add_lines(sheet *in, json_t *rows, text *lines)
{
    json_t *row;
    size_t index;
    sf_status status = SF_OK;
    json_array_foreach(rows, index, row)
    {
        if (status == SF_OK && index > 0)
            text_add(lines, in->line_end);
        if (status == SF_OK)
            status = add_line(in, row, lines);
    }
    return status == SF_OK && lines->failed ? SF_ERROR_MEMORY : status;
}

/* After the last row, read anew but once: a placement file brings hundreds. */
static sf_status edit_append(sheet *in, const json_t *op)
{
    json_t *rows = json_object_get(op, "rows"), *row;
    size_t index, count = in->row_count;
    sf_status status = json_array_size(rows) > 0 ? SF_OK : SF_ERROR_ARGUMENT;
    json_array_foreach(rows, index, row)
    {
        if (status == SF_OK)
            status = json_is_object(row) ? add_columns_of(in, row) : SF_ERROR_ARGUMENT;
    }
    text lines = {0};
    if (status == SF_OK)
        status = add_lines(in, rows, &lines);
    if (status == SF_OK)
        status = sheet_insert_raw(in, in->row_count, lines.bytes);
    text_clear(&lines);
    if (status == SF_OK && in->row_count != count + json_array_size(rows))
        status = SF_ERROR_ARGUMENT;
    return status;
}

static sf_status edit_delete(sheet *in, const json_t *op)
{
    size_t row = 0;
    sf_status status = find_row(in, op, &row);
    return status == SF_OK ? sheet_delete(in, row) : status;
}

sf_status edit_sheet(sheet *in, const json_t *op)
{
    const char *kind = json_string_value(json_object_get(op, "op"));
    if (kind && strcmp(kind, "set") == 0)
        return edit_set(in, op);
    if (kind && strcmp(kind, "insert") == 0)
        return edit_insert(in, op);
    if (kind && strcmp(kind, "append") == 0)
        return edit_append(in, op);
    if (kind && strcmp(kind, "delete") == 0)
        return edit_delete(in, op);
    return SF_ERROR_ARGUMENT;
}
