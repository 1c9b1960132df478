/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Holds the cells of an edit against what their columns take, as the job will read them. */
#include "page/edits.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/memory.h"
#include "core/text.h"
#include "job/files.h"

/* The columns of one file, and what its rows need. */
typedef struct taker {
    const struct column *columns;
    size_t count, row_size;
    char separator;
} taker;

/* Where the cell is; one of several pasted rows is named by what the person knows it as. */
static char *place_of(const json_t *op, const char *column)
{
    const char *said = json_string_value(json_object_get(op, "said"));
    return said ? text_format("%s: %s", excerpt_of(said).text, column) : text_copy(column);
}

static void check_cell(struct intake *intake, const taker *by, const json_t *op, const char *name,
                       const char *words, const char *unit)
{
    const struct column *column = column_find(by->columns, by->count, name, NULL);
    if (!column || sheet_blank(words))
        return;
    void *row = array_new(1, by->row_size);
    char *place = place_of(op, name);
    struct table table = {.separator = by->separator};
    struct entry entry = {
        {json_string_value(json_object_get(op, "file")), 0, place}, words, unit, &table};
    if (row && place) {
        columns_blank(by->columns, by->count, row);
        column_read(intake, column, &entry, row);
        columns_free_texts(by->columns, by->count, row);
    } else {
        intake->memory_short = true;
    }
    free(place);
    free(row);
}

static void check_row(struct intake *intake, const taker *by, const json_t *op)
{
    const char *name;
    json_t *value;
    json_object_foreach(json_object_get(op, "set"), name, value)
    {
        if (json_is_string(value))
            check_cell(intake, by, op, name, json_string_value(value), "");
    }
}

/* --- board.csv: the unit stands beside the value --- */

static const char *unit_of_key(const sheet *of, const char *key)
{
    for (size_t row = 1; row < of->row_count; row++)
        if (strcasecmp(sheet_text_of(of, row, "key"), key) == 0)
            return sheet_text_of(of, row, "unit");
    return "";
}

static void check_key(struct intake *intake, const taker *by, const sheet *of, const json_t *op)
{
    json_t *set = json_object_get(op, "set");
    const char *value = json_string_value(json_object_get(set, "value"));
    const char *key = json_string_value(json_object_get(set, "key"));
    if (!key)
        key = json_string_value(json_object_get(json_object_get(op, "expect"), "key"));
    if (key && value)
        check_cell(intake, by, op, key, value, unit_of_key(of, key));
}

/* --- the whole edit --- */

static void check_file(struct intake *intake, const batch *all, const json_t *ops,
                       const struct row_kind *kind)
{
    const sheet *of = &all->files[job_file_find(kind ? kind->file : "board.csv")].now;
    taker by = {board_keys, board_key_count, sizeof(sf_board), of->table.separator};
    if (kind)
        by = (taker){kind->columns, kind->column_count, kind->row_size, of->table.separator};
    const json_t *before = NULL;
    size_t index;
    json_t *op;
    json_array_foreach(ops, index, op)
    {
        json_t *set = json_object_get(op, "set");
        /* many rows that are given the same: it is told once */
        bool again = op_says(op, "op", "set") && before && json_equal(set, before);
        if (!op_says(op, "file", kind ? kind->file : "board.csv") || again)
            continue;
        if (kind)
            check_row(intake, &by, op);
        else
            check_key(intake, &by, of, op);
        before = set;
    }
}

/* Of what was found, the errors: what is but asked about stops no edit. */
static sf_status tell_errors(const sf_diagnostics *found, sf_diagnostics *diagnostics)
{
    sf_status status = found->error_count > 0 ? SF_ERROR_DATA : SF_OK;
    for (size_t i = 0; i < found->count && status != SF_ERROR_MEMORY; i++) {
        const sf_diagnostic *one = &found->items[i];
        if (one->severity == SF_ERROR &&
            sf_diagnose(diagnostics, SF_ERROR, one->file, one->line, one->column, one->what,
                        one->expected) != SF_OK)
            status = SF_ERROR_MEMORY;
    }
    return status;
}

sf_status cells_check(const batch *all, const json_t *ops, sf_diagnostics *diagnostics)
{
    const struct row_kind *const kinds[] = {&part_kind, &source_kind, &reading_kind, NULL};
    sf_job beside = {0};
    sf_diagnostics found = {0};
    struct intake intake = {.job = &beside, .diagnostics = &found};
    if (intake_open(&intake))
        for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
            check_file(&intake, all, ops, kinds[i]);
    sf_status status = intake_close(&intake);
    if (status != SF_ERROR_MEMORY)
        status = tell_errors(&found, diagnostics);
    sf_diagnostics_clear(&found);
    return status;
}
