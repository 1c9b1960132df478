/* Setting cells of a row, adding a row, taking one away. */
#include "page/edit.h"

#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "spotfield/job.h"

/* --- finding the row --- */

static bool cell_is(const sheet *of, size_t row, const char *column, const char *expected)
{
    size_t at = sheet_column(of, column);
    if (at == SHEET_NONE)
        return expected[0] == '\0';
    char *found = sheet_text(of, row, at);
    bool same = found && strcmp(found, expected) == 0;
    free(found);
    return same;
}

static bool row_is(const sheet *of, size_t row, json_t *expect)
{
    const char *column;
    json_t *value;
    bool same = row > 0 && row < of->row_count;
    json_object_foreach(expect, column, value)
    {
        same = same && json_is_string(value) && cell_is(of, row, column, json_string_value(value));
    }
    return same;
}

/* The row that is meant: the one named, else the only one that is as expected; 0 where none is. */
static size_t find_row(const sheet *of, const json_t *op)
{
    json_t *named = json_object_get(op, "row"), *expect = json_object_get(op, "expect");
    json_int_t number = json_is_integer(named) ? json_integer_value(named) : -1;
    size_t row = number >= 0 ? (size_t)number + 1 : 0, found = 0, count = 0;
    if (row_is(of, row, expect))
        return row;
    if (json_object_size(expect) == 0)
        return 0;
    for (row = 1; row < of->row_count; row++)
        if (row_is(of, row, expect)) {
            found = row;
            count++;
        }
    return count == 1 ? found : 0;
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

static sf_status set_one(sheet *in, size_t row, const char *name, const char *words)
{
    if (!may_stand(name, words))
        return SF_ERROR_ARGUMENT;
    size_t column = sheet_column(in, name);
    sf_status status = SF_OK;
    if (column == SHEET_NONE) {
        status = sheet_add_column(in, name);
        column = in->rows[0].count - 1;
    }
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
        if (words && sheet_blank(words, words + strlen(words)) == blank)
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
    size_t row = find_row(in, op);
    return row > 0 ? set_cells(in, row, op) : SF_ERROR_DATA;
}

/* --- rows --- */

static bool sets_first_column(const sheet *of, const json_t *op)
{
    const char *name;
    json_t *value;
    bool sets = false;
    json_object_foreach(json_object_get(op, "set"), name, value)
    {
        sets = sets || sheet_column(of, name) == 0;
    }
    return sets;
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

static sf_status edit_delete(sheet *in, const json_t *op)
{
    size_t row = find_row(in, op);
    return row > 0 ? sheet_delete(in, row) : SF_ERROR_DATA;
}

sf_status edit_sheet(sheet *in, const json_t *op)
{
    const char *kind = json_string_value(json_object_get(op, "op"));
    if (kind && strcmp(kind, "set") == 0)
        return edit_set(in, op);
    if (kind && strcmp(kind, "insert") == 0)
        return edit_insert(in, op);
    if (kind && strcmp(kind, "delete") == 0)
        return edit_delete(in, op);
    return SF_ERROR_ARGUMENT;
}
