/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads a key file by the table of its keys. */

#include <stdlib.h>

#include "job/files.h"

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
                         "this key is of one board and passed over here");
    else
        diagnose_warning(file->intake, at, "", "unknown key is passed over; did you mean %s?",
                         nearest);
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
        diagnose_error(file->intake, at, "each key once", "the key is on line %zu already",
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
            assume(file->intake, "%s not given: %s assumed", key->name, words);
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
