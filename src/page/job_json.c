/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tables of a job into JSON and out of it. */
#include "page/job_json.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/atomic.h"
#include "core/folders.h"
#include "core/json_values.h"
#include "core/memory.h"
#include "job/cell_text.h"
#include "page/folder_file.h"
#include "page/job_lock.h"
#include "page/sheet.h"
#include "spotfield/job.h"

enum { SCHEMA = 1, TABLE_BYTES_MOST = 64 << 20, JSON_BYTES_MOST = 256 << 20 };

static bool is_picture(size_t table)
{
    return strcmp(job_table_names[table], "thermogram.csv") == 0;
}

void job_tables_clear(job_tables *ended)
{
    for (size_t i = 0; i < JOB_TABLES; i++)
        text_clear(&ended->bytes[i]);
    *ended = (job_tables){0};
}

/* --- out --- */

/* "14,5" of a table with decimal commas. */
static void point_comma(char *words)
{
    char *comma = strchr(words, ',');
    if (comma && words[strspn(words, "+-0123456789,")] == '\0' && !strchr(comma + 1, ','))
        *comma = '.';
}

static json_t *row_json(const sheet *of, size_t row)
{
    json_t *made = json_array();
    for (size_t column = 0; column < of->table.column_count; column++) {
        char *words = text_copy(sheet_text(of, row, column));
        if (words && row > 0 && of->decimal_comma)
            point_comma(words);
        made = list_append(made, words ? json_string(words) : NULL);
        free(words);
    }
    return made;
}

static json_t *table_json(const sheet *of)
{
    json_t *rows = json_array();
    for (size_t row = 1; row < of->row_count; row++)
        rows = list_append(rows, row_json(of, row));
    return json_pack("{s:o, s:o}", "columns", row_json(of, 0), "rows", rows);
}

static sf_status refuse(sf_diagnostics *diagnostics, const char *file, const char *what,
                        const char *expected, sf_status status)
{
    return sf_diagnose(diagnostics, SF_ERROR, file, 0, "", what, expected) == SF_OK
               ? status
               : SF_ERROR_MEMORY;
}

/* Takes the bytes over. */
static sf_status add_table(size_t table, text *bytes, json_t *into, sf_diagnostics *diagnostics)
{
    const char *name = job_table_names[table];
    json_t *made = NULL;
    sheet read = {0};
    size_t size = bytes->length;
    if (is_picture(table)) {
        made = json_pack("{s:o}", "text", json_stringn(bytes->bytes, size));
        text_clear(bytes);
    } else {
        char *taken = text_take(bytes);
        sf_status status = taken ? sheet_read(&read, taken, size) : SF_ERROR_MEMORY;
        if (status != SF_OK)
            return status == SF_ERROR_DATA
                       ? refuse(diagnostics, name, "it is not a table", "a CSV file", status)
                       : status;
        made = table_json(&read);
        sheet_clear(&read);
    }
    if (made)
        return json_object_set_new(into, name, made) == 0 ? SF_OK : SF_ERROR_MEMORY;
    /* jansson tells one reason from the other by none of its answers */
    return refuse(diagnostics, name, "it is not UTF-8 text, or the program is out of memory",
                  "UTF-8", SF_ERROR_DATA);
}

static sf_status add_file(const char *folder, size_t table, json_t *into,
                          sf_diagnostics *diagnostics)
{
    const char *name = job_table_names[table];
    text bytes = {0};
    bool absent = false;
    sf_status status = folder_file_read(folder, name, TABLE_BYTES_MOST, &bytes, &absent);
    if (status == SF_OK && !absent && bytes.length > 0)
        return add_table(table, &bytes, into, diagnostics);
    text_clear(&bytes);
    if (status == SF_ERROR_MISSING || status == SF_ERROR_DATA)
        return refuse(diagnostics, name, "it cannot be read", "a file of at most 64 MiB", status);
    return status;
}

sf_status job_json_make(const char *folder, json_t **made, sf_diagnostics *diagnostics)
{
    json_t *tables = json_object();
    sf_status status = tables ? SF_OK : SF_ERROR_MEMORY;
    *made = NULL;
    for (size_t i = 0; status == SF_OK && i < JOB_TABLES; i++)
        status = add_file(folder, i, tables, diagnostics);
    if (status == SF_OK && json_object_size(tables) == 0)
        status = refuse(diagnostics, folder, "it contains no job file", "the folder of a job",
                        SF_ERROR_MISSING);
    if (status == SF_OK) {
        *made = json_pack("{s:i, s:O}", "schema", SCHEMA, "tables", tables);
        status = *made ? SF_OK : SF_ERROR_MEMORY;
    }
    json_decref(tables);
    return status;
}

/* --- in --- */

typedef struct intake_at {
    const char *file, *table;
    sf_diagnostics *diagnostics;
} intake_at;

/* `row` counts from 1; 0: of the whole table. */
static bool wrong(const intake_at *at, size_t row, const char *what, const char *expected)
{
    char *member = row > 0 ? text_format("tables/%s/rows/%zu", at->table, row - 1)
                           : text_format("tables/%s", at->table);
    sf_diagnose(at->diagnostics, SF_ERROR, at->file, 0, member ? member : at->table, what,
                expected);
    free(member);
    return false;
}

/* What a reader of a table sees nothing in. */
static bool is_blank(const json_t *cell)
{
    const char *start = json_is_string(cell) ? json_string_value(cell) : "";
    const char *end = start + strlen(start);
    cell_text_trim(&start, &end);
    return (!cell || json_is_string(cell) || json_is_null(cell)) && start == end;
}

static bool add_cell(text *into, const json_t *cell)
{
    if (json_is_string(cell))
        text_add_cell(into, json_string_value(cell), ",;\t", false);
    else if (json_is_integer(cell))
        text_addf(into, "%lld", (long long)json_integer_value(cell));
    else if (json_is_real(cell))
        text_addf(into, "%.15g", json_real_value(cell));
    else
        return !cell || json_is_null(cell);
    return true;
}

/* A row of blanks alone would be none. */
static bool add_row(text *into, const json_t *row, size_t columns)
{
    bool sound = json_is_array(row) && json_array_size(row) <= columns, blank = true;
    for (size_t i = 0; sound && i < columns; i++) {
        const json_t *cell = json_array_get(row, i);
        text_add(into, i > 0 ? "," : "");
        sound = add_cell(into, cell);
        blank = blank && is_blank(cell);
    }
    text_add(into, "\n");
    return sound && !blank;
}

/* A first name that a reader would take for the line that names the separator, or would take a byte
 * order mark off, is none. */
static bool are_names(const json_t *columns)
{
    size_t index;
    const json_t *name;
    const char *first = json_string_value(json_array_get(columns, 0));
    char separator;
    if (first && (separator_line(first, strlen(first), &separator) > 0 ||
                  strncmp(first, "\xEF\xBB\xBF", 3) == 0))
        return false;
    json_array_foreach(columns, index, name)
    {
        if (!json_is_string(name) || is_blank(name))
            return false;
    }
    return json_array_size(columns) > 0 && json_array_size(columns) <= SF_COLUMNS_MAX;
}

static bool take_table(const intake_at *at, const json_t *table, text *into, size_t *rows)
{
    const json_t *columns = json_object_get(table, "columns"),
                 *given = json_object_get(table, "rows");
    bool sound = true;
    if (json_object_size(table) != 2 || !are_names(columns) || !json_is_array(given))
        return wrong(at, 0, "it is not a table",
                     "columns, 1 to 64 names, and rows, a list, and nothing else");
    *rows = json_array_size(given);
    if (*rows > SF_ROWS_MAX)
        return wrong(at, 0, "it has too many rows", "at most 1,000,000");
    add_row(into, columns, json_array_size(columns));
    for (size_t i = 0; i < *rows; i++)
        if (!add_row(into, json_array_get(given, i), json_array_size(columns)))
            sound =
                wrong(at, i + 1, "it is not a row of this table",
                      "a list of texts, numbers or null, no longer than columns, not all blank");
    return sound;
}

static bool take_picture(const intake_at *at, const json_t *table, text *into)
{
    const json_t *words = json_object_get(table, "text");
    if (json_object_size(table) != 1 || !json_is_string(words))
        return wrong(at, 0, "it is not a picture", "text, the file as it is, and nothing else");
    text_add_bytes(into, json_string_value(words), json_string_length(words));
    return true;
}

static bool take_one(const intake_at *at, const json_t *table, job_tables *into)
{
    size_t found = 0;
    while (found < JOB_TABLES && strcmp(job_table_names[found], at->table) != 0)
        found++;
    if (found == JOB_TABLES)
        return wrong(at, 0, "it is not a job file", "such as board.csv");
    return is_picture(found) ? take_picture(at, table, &into->bytes[found])
                             : take_table(at, table, &into->bytes[found], &into->rows[found]);
}

static bool take_all(const char *name, json_t *whole, job_tables *into, sf_diagnostics *diagnostics)
{
    json_t *tables = json_object_get(whole, "tables"), *table;
    bool sound = json_integer_value(json_object_get(whole, "schema")) == SCHEMA;
    const char *key;
    if (!sound || json_object_size(tables) == 0) {
        sf_diagnose(diagnostics, SF_ERROR, name, 0, sound ? "tables" : "schema",
                    "it is not a job as JSON", "an object with schema 1 and tables");
        return false;
    }
    json_object_foreach(tables, key, table)
    {
        intake_at at = {name, key, diagnostics};
        sound &= take_one(&at, table, into);
    }
    return sound;
}

sf_status job_json_take(const char *name, const char *bytes, size_t size, job_tables *into,
                        sf_diagnostics *diagnostics)
{
    json_error_t error;
    *into = (job_tables){0};
    json_t *whole = json_loadb(bytes ? bytes : "", size, JSON_REJECT_DUPLICATES, &error);
    if (!whole)
        return sf_diagnose(diagnostics, SF_ERROR, name, (size_t)(error.line > 0 ? error.line : 0),
                           "", "it cannot be read as JSON", "one object") == SF_OK
                   ? SF_ERROR_DATA
                   : SF_ERROR_MEMORY;
    sf_status status = take_all(name, whole, into, diagnostics) ? SF_OK : SF_ERROR_DATA;
    json_decref(whole);
    for (size_t i = 0; i < JOB_TABLES; i++)
        if (into->bytes[i].failed)
            status = SF_ERROR_MEMORY;
    if (status != SF_OK)
        job_tables_clear(into);
    return status;
}

sf_status job_json_read(const char *file, job_tables *into, sf_diagnostics *diagnostics)
{
    text bytes = {0};
    bool absent = false;
    *into = (job_tables){0};
    sf_status status = folder_file_read(file[0] == '/' ? "" : ".", file + (file[0] == '/'),
                                        JSON_BYTES_MOST, &bytes, &absent);
    if (status == SF_OK && !absent)
        status = job_json_take(file, bytes.bytes, bytes.length, into, diagnostics);
    else if (status != SF_ERROR_MEMORY)
        status = refuse(diagnostics, file, "it cannot be read", "a file of at most 256 MiB",
                        SF_ERROR_MISSING);
    text_clear(&bytes);
    return status;
}

/* --- into a folder --- */

static sf_status look_for_others(const char *folder, sf_diagnostics *diagnostics)
{
    sf_status status = SF_OK;
    for (size_t i = 0; i < JOB_TABLES && status != SF_ERROR_MEMORY; i++) {
        char *path = path_join(folder, job_table_names[i]);
        if (!path)
            return SF_ERROR_MEMORY;
        if (access(path, F_OK) == 0)
            status = refuse(diagnostics, path, "it is there already", "a folder without job files",
                            SF_ERROR_DATA);
        free(path);
    }
    return status;
}

sf_status job_tables_write(const char *folder, const job_tables *of, sf_diagnostics *diagnostics)
{
    file_block blocks[JOB_TABLES];
    size_t count = 0;
    for (size_t i = 0; i < JOB_TABLES; i++)
        if (of->bytes[i].length > 0)
            blocks[count++] =
                (file_block){job_table_names[i], of->bytes[i].bytes, of->bytes[i].length};
    job_lock lock = {-1, -1};
    sf_status status = job_lock_take(folder, &lock, diagnostics);
    if (status != SF_OK)
        return status;
    status = look_for_others(folder, diagnostics);
    if (status == SF_OK)
        status = atomic_write(folder, blocks, count, diagnostics);
    job_lock_release(&lock);
    return status;
}
