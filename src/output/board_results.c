/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads parts.csv and kit.csv as the files of a job are read. */
#include "output/board_results.h"

#include <math.h>
#include <stdlib.h>

#include "job/rows.h"

#define NUMBER(of, member)                                                                         \
    {                                                                                              \
        .name = #member, .kind = COLUMN_NUMBER, .offset = offsetof(of, member), .least = -1e9,     \
        .most = 1e9                                                                                \
    }

static const struct word verdict_words[] = {
    {"replace", SF_REPLACE}, {"check", SF_CHECK}, {"leave", SF_LEAVE}, {NULL, 0}};

typedef struct part_row {
    double temp_c;
    sf_verdict verdict;
} part_row;

static const part_row blank_part = {.temp_c = NAN};

static const struct column part_columns[] = {
    NUMBER(part_row, temp_c),
    {.name = "verdict",
     .kind = COLUMN_WORD,
     .offset = offsetof(part_row, verdict),
     .flags = COLUMN_REQUIRED,
     .words = verdict_words},
};

static const struct row_kind part_results = {
    .file = "parts.csv",
    .things = "parts",
    .needed = true,
    .columns = part_columns,
    .column_count = sizeof part_columns / sizeof *part_columns,
    .row_size = sizeof(part_row),
    .line_offset = ROWS_NO_LINE,
    .blank = &blank_part,
};

/* All but the count stands in the line itself; spares are reckoned anew. */
typedef struct kit_row {
    sf_kit_line line;
    double count;
} kit_row;

static const kit_row blank_line = {.line = {.lead_pitch_mm = NAN,
                                            .ripple_a_min = NAN,
                                            .esr_ohm_max = NAN,
                                            .capacitance_uf = NAN,
                                            .rated_v = NAN,
                                            .rated_c = NAN,
                                            .endurance_h = NAN,
                                            .diameter_mm_max = NAN,
                                            .height_mm_max = NAN}};

#define OF_LINE(member) .offset = offsetof(kit_row, line) + offsetof(sf_kit_line, member)
#define LINE_NUMBER(member)                                                                        \
    {                                                                                              \
        .name = #member, .kind = COLUMN_NUMBER, OF_LINE(member), .least = -1e9, .most = 1e9        \
    }
#define LINE_TEXT(member)                                                                          \
    {                                                                                              \
        .name = #member, .kind = COLUMN_TEXT, OF_LINE(member)                                      \
    }

static const struct column kit_columns[] = {
    NUMBER(kit_row, count),
    LINE_NUMBER(capacitance_uf),
    LINE_NUMBER(rated_v),
    LINE_NUMBER(rated_c),
    LINE_NUMBER(endurance_h),
    LINE_NUMBER(diameter_mm_max),
    LINE_NUMBER(height_mm_max),
    {.name = "type", .kind = COLUMN_WORD, OF_LINE(type), .words = part_type_words},
    {.name = "mount", .kind = COLUMN_WORD, OF_LINE(mount), .words = form_words},
    LINE_NUMBER(lead_pitch_mm),
    LINE_NUMBER(ripple_a_min),
    LINE_NUMBER(esr_ohm_max),
    {.name = "low_esr", .kind = COLUMN_YES_NO, OF_LINE(low_esr)},
    LINE_TEXT(description),
    LINE_TEXT(refs),
    LINE_TEXT(note),
};

static const struct row_kind kit_results = {
    .file = "kit.csv",
    .things = "lines",
    .needed = true,
    .columns = kit_columns,
    .column_count = sizeof kit_columns / sizeof *kit_columns,
    .row_size = sizeof(kit_row),
    .line_offset = ROWS_NO_LINE,
    .blank = &blank_line,
};

/* What is wrong with a file of ours is nobody's to mend: that it is read or not says enough. */
static sf_status read_back(const char *folder, const struct row_kind *kind, void **rows,
                           size_t *count)
{
    sf_job beside = {0}; /* of a job the folder alone is asked for */
    sf_diagnostics dropped = {0};
    struct intake intake = {.job = &beside, .diagnostics = &dropped};
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
        free(line->description);
        free(line->refs);
        free(line->note);
    }
    free(rows);
    return status;
}
