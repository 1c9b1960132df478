/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A table of boards, the worst first. */
#include "cli/machine_text.h"

#include <math.h>
#include <stdlib.h>

#include "cli/message.h"
#include "core/memory.h"

typedef struct line {
    const machine_row *row;
    const char *folder;
    size_t index;
} line;

machine_row machine_row_of(const sf_outcome *outcome)
{
    const sf_kit *kit = outcome->kit;
    machine_row made = {true, kit->replaced, kit->checked, kit->left, NAN};
    for (size_t i = 0; i < outcome->job->part_count; i++)
        made.hottest_c = fmax(made.hottest_c, outcome->results[i].temp_c);
    return made;
}

/* Less than 0 where the first is more. */
static int more_first(double first, double second)
{
    return (first < second) - (first > second);
}

static int worse_first(const void *first, const void *second)
{
    const line *a = first, *b = second;
    const machine_row *one = a->row, *other = b->row;
    const int orders[] = {
        more_first(!one->mapped, !other->mapped),
        more_first((double)one->replaced, (double)other->replaced),
        more_first((double)one->checked, (double)other->checked),
        more_first(one->hottest_c, other->hottest_c),
        more_first((double)b->index, (double)a->index),
    };
    size_t at = 0;
    while (at + 1 < sizeof orders / sizeof *orders && orders[at] == 0)
        at++;
    return orders[at];
}

static void put_line(const line *of, FILE *to)
{
    const machine_row *row = of->row;
    if (!row->mapped)
        fprintf(to, "%-46s  ", "not mapped: see the message");
    else
        fprintf(to, "%10zu  %7zu  %5zu  %5zu  ", row->replaced + row->checked + row->left,
                row->replaced, row->checked, row->left);
    if (row->mapped && isfinite(row->hottest_c))
        fprintf(to, "%9.0f C  ", row->hottest_c);
    else if (row->mapped)
        fprintf(to, "%11s  ", "none");
    put_words(to, of->folder);
    putc('\n', to);
}

static void put_sums(const machine_row *rows, size_t count, FILE *to)
{
    machine_row sum = {0};
    size_t mapped = 0;
    for (size_t i = 0; i < count; i++) {
        if (!rows[i].mapped)
            continue;
        mapped++;
        sum.replaced += rows[i].replaced;
        sum.checked += rows[i].checked;
        sum.left += rows[i].left;
    }
    put_count(to, mapped, "board, ", "boards, ");
    put_count(to, sum.replaced + sum.checked + sum.left, "capacitor", "capacitors");
    fprintf(to, ": replace %zu, check %zu, leave %zu.", sum.replaced, sum.checked, sum.left);
    if (mapped < count) {
        putc(' ', to);
        put_count(to, count - mapped, "more board was not mapped.", "more boards were not mapped.");
    }
    putc('\n', to);
}

bool machine_text_write(const machine_row *rows, const char *const *folders, size_t count, FILE *to)
{
    line *lines = array_new(count, sizeof *lines);
    if (!lines)
        return false;
    for (size_t i = 0; i < count; i++)
        lines[i] = (line){&rows[i], folders[i], i};
    qsort(lines, count, sizeof *lines, worse_first);
    fputs("capacitors  replace  check  leave  hottest can  job\n", to);
    for (size_t i = 0; i < count; i++)
        put_line(&lines[i], to);
    putc('\n', to);
    put_sums(rows, count, to);
    free(lines);
    return true;
}
