/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads the rows of a file by the table of its columns, and a key file by that of its keys. */
#include "job/rows.h"

#include <stdlib.h>
#include <string.h>

#include "job/files.h"

/* Which column of the table feeds which column of the kind, and how many cells were blank. */
struct matching {
    size_t from[SF_COLUMNS_MAX];
    size_t blanks[SF_COLUMNS_MAX];
};

/* The column that column `i` of the table feeds; NULL none. */
static const struct column *fed_column(const struct row_kind *kind, const struct table *table,
                                       size_t i)
{
    const char *heading = table_header(table, i), *meant = column_meant(heading);
    const struct column *fed = column_find(kind->columns, kind->column_count, heading, NULL);
    if (!fed && meant)
        fed = column_find(kind->columns, kind->column_count, meant, NULL);
    return fed && table_column(table, fed->name) == i ? fed : NULL;
}

static bool knows_a_column(const struct row_kind *kind, const struct table *table)
{
    for (size_t i = 0; i < table->column_count; i++)
        if (fed_column(kind, table, i))
            return true;
    return false;
}

/* A heading that is not the name of a column it feeds. */
static void tell_heading(struct intake *intake, const struct row_kind *kind,
                         const struct table *table, size_t i)
{
    const char *name = table_header(table, i), *meant = column_meant(name), *nearest = NULL;
    const struct column *fed = fed_column(kind, table, i);
    where at = {kind->file, table->header_line, ""};
    if (name[0] == '\0')
        diagnose_warning(intake, at, "a name for each column",
                         "column %zu has no name and is ignored", i + 1);
    else if (fed)
        diagnose_warning(intake, at, "", "column \"%s\" is read as %s", excerpt_of(name).text,
                         fed->name);
    else if (meant && column_find(kind->columns, kind->column_count, meant, NULL))
        diagnose_warning(intake, at, "", "column \"%s\" is ignored, since there is another %s",
                         excerpt_of(name).text, meant);
    else if (!column_find(kind->columns, kind->column_count, name, &nearest))
        diagnose_warning(intake, at, "", "unknown column \"%s\" is ignored; did you mean %s?",
                         excerpt_of(name).text, nearest);
}

static void tell_headings(struct intake *intake, const struct row_kind *kind,
                          const struct table *table)
{
    for (size_t i = 0; i < table->column_count; i++)
        if (!column_find(kind->columns, kind->column_count, table_header(table, i), NULL))
            tell_heading(intake, kind, table, i);
}

static void match_columns(struct intake *intake, const struct row_kind *kind,
                          const struct table *table, struct matching *matching)
{
    for (size_t i = 0; i < kind->column_count; i++) {
        const struct column *column = &kind->columns[i];
        matching->from[i] = table_column(table, column->name);
        matching->blanks[i] = 0;
        if (matching->from[i] != TABLE_NO_COLUMN || !(column->flags & COLUMN_REQUIRED))
            continue;
        char expected[256];
        column_expected(column, expected, sizeof expected);
        diagnose_error(intake, (where){kind->file, table->header_line, column->name}, expected,
                       "the column is missing");
    }
}

static void diagnose_of_blank(struct intake *intake, const struct column *column, where at)
{
    char expected[256];
    column_expected(column, expected, sizeof expected);
    diagnose_error(intake, at, expected, "the cell is blank");
}

/* False where the cell is blank. */
static bool read_cell(struct intake *intake, const struct column *column, struct table *table,
                      size_t row_index, size_t column_index, void *row)
{
    if (column_index == TABLE_NO_COLUMN)
        return false;
    const char *written = table_text(table, row_index, column_index);
    where at = {table->file, table_line(table, row_index, column_index), column->name};
    if (written[0] == '\0') {
        if (column->flags & COLUMN_REQUIRED)
            diagnose_of_blank(intake, column, at);
        return false;
    }
    column_read(intake, column, &(struct entry){at, written, "", table}, row);
    return true;
}

static void read_row(struct intake *intake, const struct row_kind *kind, struct table *table,
                     size_t index, struct matching *matching, void *row)
{
    columns_blank(kind->columns, kind->column_count, row);
    for (size_t i = 0; i < kind->column_count; i++)
        if (!read_cell(intake, &kind->columns[i], table, index, matching->from[i], row))
            matching->blanks[i]++;
    columns_fill_texts(intake, kind->columns, kind->column_count, row);
    if (kind->line_offset != ROWS_NO_LINE)
        *(size_t *)((char *)row + kind->line_offset) = table_line(table, index, 0);
}

/* blank: a row whose cells are all blank. */
static void assume_for_blanks(struct intake *intake, const struct row_kind *kind,
                              const struct matching *matching, size_t count, void *blank)
{
    columns_blank(kind->columns, kind->column_count, blank);
    for (size_t i = 0; i < kind->column_count; i++) {
        if (!(kind->columns[i].flags & COLUMN_ASSUMED) || matching->blanks[i] == 0)
            continue;
        char value[128];
        column_value_text(&kind->columns[i], blank, value, sizeof value);
        assume(intake, "%s not given for %zu of %zu %s: taken as %s", kind->columns[i].name,
               matching->blanks[i], count, kind->things, value);
    }
}

void *rows_of_table(struct intake *intake, const struct row_kind *kind, struct table *table)
{
    if (!knows_a_column(kind, table)) {
        diagnose_error(intake, (where){kind->file, table->header_line, ""},
                       "a line of column names separated by commas, semicolons or tabs",
                       "the first line names no known column, such as %s", kind->columns[0].name);
        return NULL;
    }
    struct matching matching;
    /* one more row, which stays blank */
    char *rows = keep_array(intake, table->row_count + 1, kind->row_size);
    if (!rows)
        return NULL;
    tell_headings(intake, kind, table);
    match_columns(intake, kind, table, &matching);
    for (size_t i = 0; i < table->row_count; i++)
        read_row(intake, kind, table, i, &matching, rows + i * kind->row_size);
    assume_for_blanks(intake, kind, &matching, table->row_count,
                      rows + table->row_count * kind->row_size);
    return rows;
}

void rows_free(const struct row_kind *kind, void *rows, size_t count)
{
    for (size_t i = 0; rows && i < count; i++)
        columns_free_texts(kind->columns, kind->column_count, (char *)rows + i * kind->row_size);
    free(rows);
}

file_state rows_read(struct intake *intake, const struct row_kind *kind, void **rows, size_t *count)
{
    *rows = NULL;
    *count = 0;
    struct table table = {0};
    file_state state = table_read(intake, kind->file, kind->needed, &table);
    if (state == FILE_READ) {
        *rows = rows_of_table(intake, kind, &table);
        *count = *rows ? table.row_count : 0;
        table_warn_of_mixed_decimals(intake, &table);
        state = *rows ? FILE_READ : FILE_BAD;
    }
    table_free(&table);
    return state;
}

sf_status rows_read_alone(const char *folder, const struct row_kind *kind, void **rows,
                          size_t *count, sf_diagnostics *diagnostics)
{
    sf_job beside = {0};
    struct intake intake = {.job = &beside, .diagnostics = diagnostics};
    *rows = NULL;
    *count = 0;
    beside.folder = keep_text(&intake, folder);
    if (intake_open(&intake) && beside.folder)
        rows_read(&intake, kind, rows, count);
    sf_status status = intake_close(&intake);
    for (size_t i = 0; i < beside.assumption_count; i++)
        free(beside.assumptions[i]);
    free(beside.assumptions);
    free(beside.folder);
    return status;
}

/* --- files of one key a row --- */

struct key_row {
    char *key, *value, *unit, *note;
    size_t line;
};

#define ROW struct key_row

static const struct column key_columns[] = {
    {TEXT_COLUMN("key", key), .flags = COLUMN_REQUIRED},
    {TEXT_COLUMN("value", value)},
    {TEXT_COLUMN("unit", unit)},
    {TEXT_COLUMN("note", note)},
};

struct key_state {
    size_t line; /* where the key stands; 0 nowhere yet */
    bool filled; /* its value is not blank */
};

/* One key file on its way in. */
struct key_file {
    struct intake *intake;
    struct table table;
    const struct column *keys;
    size_t key_count;
    struct key_state *states; /* one a key */
    void *target;
};

static void tell_unknown(struct key_file *file, where at, const char *key, const char *nearest)
{
    if (column_find(board_keys, board_key_count, key, NULL))
        diagnose_warning(file->intake, at, "it in the board.csv of each board",
                         "this key belongs to one board and is ignored here");
    else
        diagnose_warning(file->intake, at, "", "unknown key is ignored; did you mean %s?", nearest);
}

static void read_key(struct key_file *file, const struct key_row *row)
{
    const char *nearest = NULL;
    where at = {file->table.file, row->line, excerpt_of(row->key).text};
    const struct column *key = column_find(file->keys, file->key_count, row->key, &nearest);
    if (!key) {
        tell_unknown(file, at, row->key, nearest);
        return;
    }
    struct key_state *state = &file->states[key - file->keys];
    if (state->line > 0) {
        diagnose_error(file->intake, at, "each key once", "the key is already on line %zu",
                       state->line);
        return;
    }
    *state = (struct key_state){row->line, row->value[0] != '\0'};
    if (state->filled)
        column_read(file->intake, key, &(struct entry){at, row->value, row->unit, &file->table},
                    file->target);
}

/* False where the file has no header of a key file. */
static bool read_keys(struct key_file *file)
{
    const struct row_kind kind = {
        .file = file->table.file,
        ROWS_OF(key_columns),
        .line_offset = offsetof(struct key_row, line),
    };
    struct key_row *rows = rows_of_table(file->intake, &kind, &file->table);
    if (!rows)
        return false;
    for (size_t i = 0; i < file->table.row_count; i++) {
        bool whole = rows[i].key && rows[i].value && rows[i].unit;
        if (whole && rows[i].key[0])
            read_key(file, &rows[i]);
    }
    rows_free(&kind, rows, file->table.row_count);
    return true;
}

/* Tells of required keys that are not given, and which defaults were taken. */
static void settle_blanks(struct key_file *file)
{
    for (size_t i = 0; i < file->key_count; i++) {
        const struct column *key = &file->keys[i];
        char words[256];
        if (file->states[i].filled)
            continue;
        if (key->flags & COLUMN_REQUIRED) {
            column_expected(key, words, sizeof words);
            diagnose_error(file->intake, (where){file->table.file, file->states[i].line, key->name},
                           words,
                           file->states[i].line > 0 ? "the value is blank" : "the key is missing");
        } else if (key->flags & COLUMN_ASSUMED) {
            column_value_text(key, file->target, words, sizeof words);
            assume(file->intake, "%s not given: taken as %s", key->name, words);
        }
    }
}

file_state keys_read(struct intake *intake, const char *file, bool needed,
                     const struct column *keys, size_t key_count, void *target, size_t *lines)
{
    struct key_file reading = {
        .intake = intake, .keys = keys, .key_count = key_count, .target = target};
    file_state state = table_read(intake, file, needed, &reading.table);
    reading.states = keep_array(intake, key_count, sizeof *reading.states);
    if (state == FILE_READ && (!reading.states || !read_keys(&reading)))
        state = FILE_BAD;
    if (state == FILE_READ) {
        settle_blanks(&reading);
        table_warn_of_mixed_decimals(intake, &reading.table);
        for (size_t i = 0; lines && i < key_count; i++)
            lines[i] = reading.states[i].line;
    }
    columns_fill_texts(intake, keys, key_count, target);
    free(reading.states);
    table_free(&reading.table);
    return state;
}
