/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The order and the sums of the boards of a machine, and its files. */
#include "output/machine_files.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
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

static void boards_csv(const machine_told *told, text *into)
{
    text_add(into, "job,board,state,capacitors,replace,check,leave,hottest_c,results\n");
    for (size_t i = 0; i < told->count; i++) {
        size_t board = told->order[i];
        const board_row *row = &told->rows[board];
        csv_text(into, told->names[board]);
        csv_text(into, row->name.text);
        csv_text(into, row->mapped ? "mapped" : "not mapped");
        csv_number(into, row->mapped ? (double)board_row_parts(row) : (double)NAN, 0);
        csv_number(into, row->mapped ? (double)row->counts[SF_REPLACE] : (double)NAN, 0);
        csv_number(into, row->mapped ? (double)row->counts[SF_CHECK] : (double)NAN, 0);
        csv_number(into, row->mapped ? (double)row->counts[SF_LEAVE] : (double)NAN, 0);
        csv_number(into, row->mapped ? row->hottest_c : (double)NAN, 2);
        csv_text(into, row->mapped ? told->links[board] : "");
        csv_end_row(into);
    }
}

sf_status machine_files_write(const machine_told *told, const char *folder,
                              sf_diagnostics *diagnostics)
{
    enum { BOARDS, KIT, ORDER, PAGE, FILES };
    static const char *const names[FILES] = {"boards.csv", "kit.csv", "order.csv", "index.html"};
    text contents[FILES] = {{0}};
    file_block blocks[FILES];
    boards_csv(told, &contents[BOARDS]);
    kit_lines_csv(told->kit, &contents[KIT]);
    order_lines_csv(told->kit, &contents[ORDER]);
    machine_html(told, &contents[PAGE]);
    sf_status status = SF_OK;
    for (size_t i = 0; i < FILES; i++) {
        blocks[i] = (file_block){names[i], contents[i].bytes, contents[i].length};
        if (contents[i].failed)
            status = SF_ERROR_MEMORY;
    }
    if (status == SF_OK)
        status = result_set_write(folder, blocks, FILES, diagnostics);
    else
        sf_diagnose(diagnostics, SF_ERROR, names[PAGE], 0, "", sf_status_text(status), "");
    for (size_t i = 0; i < FILES; i++)
        text_clear(&contents[i]);
    return status;
}
