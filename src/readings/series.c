/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Rows that share an id are one series. */
#include "readings/series.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

static int compare_sizes(size_t a, size_t b)
{
    return (a > b) - (a < b);
}

static int compare_ids(const void *left, const void *right)
{
    const series_row *a = left, *b = right;
    int order = strcmp(a->id, b->id);
    return order ? order : compare_sizes(a->index, b->index);
}

/* A blank minute comes last, so that the order is total. */
static int compare_minutes(double a, double b)
{
    if (isnan(a) || isnan(b))
        return (isnan(a) != 0) - (isnan(b) != 0);
    return (a > b) - (a < b);
}

static int compare_places(const void *left, const void *right)
{
    const series_row *a = left, *b = right;
    int order = compare_sizes(a->leader, b->leader);
    if (order == 0)
        order = compare_minutes(a->minute, b->minute);
    return order ? order : compare_sizes(a->index, b->index);
}

series_row *series_sort(const sf_reading *readings, size_t count)
{
    series_row *rows = array_new(count, sizeof *rows);
    if (!rows)
        return NULL;
    for (size_t i = 0; i < count; i++) {
        const char *id = readings[i].id ? readings[i].id : "";
        rows[i] = (series_row){id, readings[i].minute, i, i};
    }
    qsort(rows, count, sizeof *rows, compare_ids);
    for (size_t i = 1; i < count; i++)
        if (rows[i].id[0] && strcmp(rows[i].id, rows[i - 1].id) == 0)
            rows[i].leader = rows[i - 1].leader;
    qsort(rows, count, sizeof *rows, compare_places);
    return rows;
}

size_t series_length(const series_row *first, size_t left)
{
    size_t length = 1;
    while (length < left && first[length].leader == first->leader)
        length++;
    return length;
}
