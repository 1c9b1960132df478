/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads parts.csv and kit.csv as the files of a job are read. */
#include "output/board_results.h"

#include <math.h>
#include <stdlib.h>

#include "job/rows.h"

static const struct word verdict_words[] = {
    {"replace", SF_REPLACE}, {"check", SF_CHECK}, {"leave", SF_LEAVE}, {NULL, 0}};

typedef struct part_row {
    double temp_c;
    sf_verdict verdict;
} part_row;

#define ROW part_row

static const struct column part_columns[] = {
    {NUMBER_COLUMN("temp_c", temp_c, -1e9, 1e9, "")},
    {WORD_COLUMN("verdict", verdict, verdict_words), .flags = COLUMN_REQUIRED},
};

static const struct row_kind part_results = {
    .file = "parts.csv",
    .things = "parts",
    .needed = true,
    ROWS_OF(part_columns),
    .line_offset = ROWS_NO_LINE,
};

/* All but the count stands in the line itself; spares are reckoned anew. */
typedef struct kit_row {
    sf_kit_line line;
    int count;
} kit_row;

#undef ROW
#define ROW kit_row
#define LINE_NUMBER(member) NUMBER_COLUMN(#member, line.member, -1e9, 1e9, "")

static const struct column kit_columns[] = {
    {WHOLE_COLUMN("count", count, 0, 1e9)},
    {LINE_NUMBER(capacitance_uf)},
    {LINE_NUMBER(rated_v)},
    {LINE_NUMBER(rated_c)},
    {LINE_NUMBER(endurance_h)},
    {LINE_NUMBER(diameter_mm_max)},
    {LINE_NUMBER(height_mm_max)},
    {WORD_COLUMN("type", line.type, part_type_words)},
    {WORD_COLUMN("mount", line.mount, form_words)},
    {LINE_NUMBER(lead_pitch_mm)},
    {LINE_NUMBER(ripple_a_min)},
    {LINE_NUMBER(esr_ohm_max)},
    {YES_NO_COLUMN("low_esr", line.low_esr)},
    {TEXT_COLUMN("description", line.description)},
    {TEXT_COLUMN("refs", line.refs)},
    {TEXT_COLUMN("note", line.note)},
};

static const struct row_kind kit_results = {
    .file = "kit.csv",
    .things = "lines",
    .needed = true,
    ROWS_OF(kit_columns),
    .line_offset = ROWS_NO_LINE,
};

/* What is wrong with a file of ours is nobody's to mend: that it is read or not says enough. */
static sf_status read_back(const char *folder, const struct row_kind *kind, void **rows,
                           size_t *count)
{
    sf_diagnostics dropped = {0};
    sf_status status = rows_read_alone(folder, kind, rows, count, &dropped);
    sf_diagnostics_clear(&dropped);
    return status;
}

size_t board_row_parts(const board_row *row)
{
    return row->counts[SF_REPLACE] + row->counts[SF_CHECK] + row->counts[SF_LEAVE];
}

bool board_row_count(const char *folder, board_row *into)
{
    void *rows;
    size_t count;
    sf_status status = read_back(folder, &part_results, &rows, &count);
    const part_row *parts = rows;
    for (int i = 0; i < SF_VERDICT_COUNT; i++)
        into->counts[i] = 0;
    into->hottest_c = NAN;
    for (size_t i = 0; parts && i < count; i++) {
        into->counts[parts[i].verdict]++;
        into->hottest_c = fmax(into->hottest_c, parts[i].temp_c);
    }
    free(rows);
    return status == SF_OK;
}

sf_status board_kit_join(const char *folder, const char *board, kit_join *into)
{
    void *rows;
    size_t count;
    sf_status status = read_back(folder, &kit_results, &rows, &count);
    kit_row *found = rows;
    for (size_t i = 0; found && i < count; i++) {
        sf_kit_line *line = &found[i].line;
        line->count = (size_t)found[i].count;
        if (status == SF_OK)
            status = kit_join_line(into, board, line);
    }
    rows_free(&kit_results, rows, count);
    return status;
}
