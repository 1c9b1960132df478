/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Edit distance between names: V. I. Levenshtein, Soviet Physics Doklady 10 (1966) 707. */
#include "job/nearest.h"

#include <ctype.h>
#include <stdbool.h>
#include <string.h>

enum { NAME_BYTES = 48 }; /* known names are shorter; what is typed beyond them is cut */

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

static size_t edit_distance(const char *typed, const char *name)
{
    size_t columns = strnlen(typed, NAME_BYTES), rows = strnlen(name, NAME_BYTES);
    size_t row[NAME_BYTES + 1];
    for (size_t i = 0; i <= columns; i++)
        row[i] = i;
    for (size_t j = 1; j <= rows; j++) {
        size_t diagonal = row[0];
        row[0] = j;
        for (size_t i = 1; i <= columns; i++) {
            bool same = tolower((unsigned char)typed[i - 1]) == tolower((unsigned char)name[j - 1]);
            size_t replaced = diagonal + !same;
            diagonal = row[i];
            row[i] = least(replaced, 1 + least(row[i], row[i - 1]));
        }
    }
    return row[columns];
}

void nearest_offer(struct nearest *nearest, const char *name)
{
    size_t distance = edit_distance(nearest->typed, name);
    if (nearest->name && distance >= nearest->distance)
        return;
    nearest->name = name;
    nearest->distance = distance;
}
