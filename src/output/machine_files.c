/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The order and the sums of the boards of a machine, and its files. */
#include "output/machine_files.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "job/rows.h"
#include "output/result_set.h"
#include "output/tables.h"

/* --- the order --- */

typedef struct placed {
    const board_row *row;
    size_t index;
} placed;

/* Less than 0 where the first is more. */
static int more_first(double first, double second)
{
    return (first < second) - (first > second);
}

static int worse_first(const void *first, const void *second)
{
    const placed *a = first, *b = second;
    const board_row *one = a->row, *other = b->row;
    const int orders[] = {
        more_first(!one->mapped, !other->mapped),
        more_first((double)one->counts[SF_REPLACE], (double)other->counts[SF_REPLACE]),
        more_first((double)one->counts[SF_CHECK], (double)other->counts[SF_CHECK]),
        more_first(one->hottest_c, other->hottest_c),
        more_first((double)b->index, (double)a->index),
    };
    size_t at = 0;
    while (at + 1 < sizeof orders / sizeof *orders && orders[at] == 0)
        at++;
    return orders[at];
}

size_t *board_rows_order(const board_row *rows, size_t count)
{
    placed *boards = array_new(count, sizeof *boards);
    size_t *order = array_new(count, sizeof *order);
    for (size_t i = 0; boards && i < count; i++)
        boards[i] = (placed){&rows[i], i};
    if (boards)
        qsort(boards, count, sizeof *boards, worse_first);
    for (size_t i = 0; boards && order && i < count; i++)
        order[i] = boards[i].index;
    if (!boards) {
        free(order);
        order = NULL;
    }
    free(boards);
    return order;
}

/* --- the words --- */

char *machine_sentence(const machine_told *told)
{
    size_t mapped = 0, parts = 0, counts[SF_VERDICT_COUNT] = {0};
    for (size_t i = 0; i < told->count; i++) {
        const board_row *row = &told->rows[i];
        if (!row->mapped)
            continue;
        mapped++;
        parts += board_row_parts(row);
        for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++)
            counts[verdict] += row->counts[verdict];
    }
    text said = {0};
    size_t lost = told->count - mapped;
    text_addf(&said, "%zu board%s, %zu capacitor%s: replace %zu, check %zu, leave %zu.", mapped,
              mapped == 1 ? "" : "s", parts, parts == 1 ? "" : "s", counts[SF_REPLACE],
              counts[SF_CHECK], counts[SF_LEAVE]);
    if (lost > 0)
        text_addf(&said, " %zu more board%s not mapped.", lost, lost == 1 ? " was" : "s were");
    return text_take(&said);
}

/* --- the files --- */

static void board_record(const void *of, size_t row, record *into)
{
    const machine_told *told = of;
    size_t board = row == NO_ROW ? 0 : told->order[row];
    const board_row *shown = row == NO_ROW ? &(const board_row){0} : &told->rows[board];
    double known = shown->mapped ? 1 : (double)NAN;
    record_words(into, "job", row == NO_ROW ? NULL : told->names[board]);
    record_words(into, "board", shown->name.text);
    record_words(into, "state", shown->mapped ? "mapped" : "not mapped");
    record_number(into, "capacitors", known * (double)board_row_parts(shown), 0);
    record_number(into, "replace", known * (double)shown->counts[SF_REPLACE], 0);
    record_number(into, "check", known * (double)shown->counts[SF_CHECK], 0);
    record_number(into, "leave", known * (double)shown->counts[SF_LEAVE], 0);
    record_number(into, "hottest_c", known * shown->hottest_c, 2);
    record_words(into, "results", shown->mapped ? told->links[board] : "");
}

sf_status machine_files_write(const machine_told *told, const char *folder,
                              sf_diagnostics *diagnostics)
{
    enum { BOARDS, KIT, ORDER, PAGE, FILES };
    file_block blocks[FILES] = {
        {.name = "boards.csv"}, {.name = "kit.csv"}, {.name = "order.csv"}, {.name = "index.html"}};
    text contents[FILES] = {{0}};
    records_csv(board_record, told, told->count, &contents[BOARDS]);
    records_csv(kit_record, told->kit, told->kit->count, &contents[KIT]);
    records_csv(order_record, told->kit, told->kit->count, &contents[ORDER]);
    machine_html(told, &contents[PAGE]);
    return result_texts_write(folder, blocks, contents, FILES, diagnostics);
}

/* --- parts.csv and kit.csv, read back as the files of a job are --- */

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
