/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A table of boards, the worst first. */
#include "cli/machine_text.h"

#include <math.h>
#include <stdlib.h>

#include "cli/message.h"

static void put_line(const machine_told *told, size_t board, FILE *to)
{
    const board_row *row = &told->rows[board];
    if (!row->mapped)
        fprintf(to, "%-46s  ", "not mapped: see the message");
    else
        fprintf(to, "%10zu  %7zu  %5zu  %5zu  ", board_row_parts(row), row->counts[SF_REPLACE],
                row->counts[SF_CHECK], row->counts[SF_LEAVE]);
    if (row->mapped && isfinite(row->hottest_c))
        fprintf(to, "%9.0f C  ", row->hottest_c);
    else if (row->mapped)
        fprintf(to, "%11s  ", "none");
    say(to, "%s%s\n", told->jobs[board], row->unchanged ? ", unchanged" : "");
}

/* How many parts to buy, of how many kinds, and where the list is. */
static void put_kit(const machine_told *told, const char *folder, FILE *to)
{
    size_t parts = 0, spares = 0;
    for (size_t i = 0; i < told->kit->count; i++) {
        parts += told->kit->lines[i].count;
        spares += told->kit->lines[i].spares;
    }
    if (parts == 0)
        return;
    fputs("One kit: ", to);
    put_count(to, parts, "part of ", "parts of ");
    put_count(to, told->kit->count, "kind, ", "kinds, ");
    put_count(to, spares, "spare", "spares");
    put_path(to, ": ", folder, "kit.csv");
}

bool machine_text_write(const machine_told *told, const char *folder, FILE *to)
{
    char *sums = machine_sentence(told);
    if (!sums)
        return false;
    fputs("capacitors  replace  check  leave  hottest can  job\n", to);
    for (size_t i = 0; i < told->count; i++)
        put_line(told, told->order[i], to);
    say(to, "\n%s\n", sums);
    free(sums);
    if (folder) {
        put_kit(told, folder, to);
        put_path(to, "All boards on one page: ", folder, "index.html");
    }
    return true;
}
