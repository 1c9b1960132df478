/* Setting cells of a row, adding a row, taking one away, each with the change that undoes it. */
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

static bool is_raw(const json_t *op)
{
    return json_is_true(json_object_get(op, "raw"));
}

/* A row that would be left blank is none any more: it is taken away by "delete", not by clearing
 * its cells, and what was its number would now be another's. */
static sf_status set_cell(sheet *in, size_t row, size_t column, const char *words, bool raw)
{
    size_t count = in->row_count;
    char *cell = raw ? text_copy(words) : sheet_quote(in, words);
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

/* Keeps in `was` the cell as it stood, in `expect` what it holds now. */
static sf_status set_one(sheet *in, size_t row, const char *name, const char *words, bool raw,
                         json_t *was, json_t *expect)
{
    size_t column = sheet_column(in, name);
    sf_status status = SF_OK;
    if (!raw && !may_stand(name, words))
        return SF_ERROR_ARGUMENT;
    if (column == SHEET_NONE) {
        status = sheet_add_column(in, name);
        column = in->rows[0].count - 1;
    }
    char *before = status == SF_OK ? sheet_raw_cell(in, row, column) : NULL;
    if (status == SF_OK)
        status = before ? set_cell(in, row, column, words, raw) : SF_ERROR_MEMORY;
    char *after = status == SF_OK ? sheet_text(in, row, column) : NULL;
    if (status == SF_OK && (!after || json_object_set_new(was, name, json_string(before)) != 0 ||
                            json_object_set_new(expect, name, json_string(after)) != 0))
        status = SF_ERROR_MEMORY;
    free(before);
    free(after);
    return status;
}

/* Sets the cells of `op` that are blank, or those that are not. */
static sf_status set_some(sheet *in, size_t row, const json_t *op, bool blank, json_t *was,
                          json_t *expect)
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
            status = set_one(in, row, name, words, is_raw(op), was, expect);
    }
    return status;
}

/* The blank ones come last, so that the row stands all the while. */
static sf_status set_cells(sheet *in, size_t row, const json_t *op, json_t *was, json_t *expect)
{
    sf_status status = set_some(in, row, op, false, was, expect);
    return status == SF_OK ? set_some(in, row, op, true, was, expect) : status;
}

static sf_status edit_set(sheet *in, const json_t *op, json_t **back)
{
    size_t row = find_row(in, op);
    if (row == 0)
        return SF_ERROR_DATA;
    json_t *was = json_object(), *expect = json_object();
    sf_status status = was && expect ? set_cells(in, row, op, was, expect) : SF_ERROR_MEMORY;
    if (status == SF_OK)
        *back =
            json_pack("{s:O, s:s, s:I, s:O, s:O, s:b}", "file", json_object_get(op, "file"), "op",
                      "set", "row", (json_int_t)row - 1, "expect", expect, "set", was, "raw", 1);
    json_decref(was);
    json_decref(expect);
    return status == SF_OK && !*back ? SF_ERROR_MEMORY : status;
}

/* --- rows --- */

/* All cells of a row by their names, blank ones included. */
static json_t *row_json(const sheet *of, size_t row)
{
    json_t *made = json_object();
    for (size_t column = 0; made && column < of->rows[0].count; column++) {
        char *name = sheet_text(of, 0, column), *words = sheet_text(of, row, column);
        bool kept =
            name && words && (!name[0] || json_object_set_new(made, name, json_string(words)) == 0);
        free(name);
        free(words);
        if (!kept) {
            json_decref(made);
            made = NULL;
        }
    }
    return made;
}

static sf_status insert_line(sheet *in, const json_t *op, size_t row)
{
    const char *line = json_string_value(json_object_get(op, "line"));
    if (is_raw(op))
        return line ? sheet_insert_raw(in, row, line) : SF_ERROR_ARGUMENT;
    json_t *was = json_object(), *expect = json_object();
    /* a row of blank cells would be passed over: the mark is overwritten by the first column */
    sf_status status = was && expect ? sheet_insert_raw(in, row, "?") : SF_ERROR_MEMORY;
    char *first = status == SF_OK ? sheet_text(in, 0, 0) : NULL;
    if (status == SF_OK)
        status = set_cells(in, row, op, was, expect);
    if (status == SF_OK && first && !json_object_get(expect, first))
        status = sheet_set_raw(in, row, 0, "");
    free(first);
    json_decref(was);
    json_decref(expect);
    return status;
}

static sf_status edit_insert(sheet *in, const json_t *op, json_t **back)
{
    json_t *named = json_object_get(op, "row");
    json_int_t number = json_is_integer(named) ? json_integer_value(named) : -1;
    size_t row =
        number >= 0 && (size_t)number + 1 < in->row_count ? (size_t)number + 1 : in->row_count;
    size_t count = in->row_count;
    sf_status status = insert_line(in, op, row);
    if (status == SF_OK && in->row_count != count + 1)
        status = SF_ERROR_ARGUMENT; /* nothing in it that would be read back */
    json_t *expect = status == SF_OK ? row_json(in, row) : NULL;
    if (status == SF_OK)
        *back = json_pack("{s:O, s:s, s:I, s:o*}", "file", json_object_get(op, "file"), "op",
                          "delete", "row", (json_int_t)row - 1, "expect", expect);
    return status == SF_OK && !*back ? SF_ERROR_MEMORY : status;
}

static sf_status edit_delete(sheet *in, const json_t *op, json_t **back)
{
    size_t row = find_row(in, op);
    if (row == 0)
        return SF_ERROR_DATA;
    char *line = sheet_raw_row(in, row);
    sf_status status = line ? sheet_delete(in, row) : SF_ERROR_MEMORY;
    if (status == SF_OK)
        *back = json_pack("{s:O, s:s, s:I, s:s, s:b}", "file", json_object_get(op, "file"), "op",
                          "insert", "row", (json_int_t)row - 1, "line", line, "raw", 1);
    free(line);
    return status == SF_OK && !*back ? SF_ERROR_MEMORY : status;
}

sf_status edit_sheet(sheet *in, const json_t *op, json_t **back)
{
    const char *kind = json_string_value(json_object_get(op, "op"));
    if (kind && strcmp(kind, "set") == 0)
        return edit_set(in, op, back);
    if (kind && strcmp(kind, "insert") == 0)
        return edit_insert(in, op, back);
    if (kind && strcmp(kind, "delete") == 0)
        return edit_delete(in, op, back);
    return SF_ERROR_ARGUMENT;
}
