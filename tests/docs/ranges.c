/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Prints the range of every number that a file of a job may hold: file, name, least, most. */
#include <stdio.h>

#include "job/files.h"

static void print_range(const char *file, const struct column *column)
{
    if (column->kind == COLUMN_NUMBER || column->kind == COLUMN_WHOLE)
        printf("%s %s %.17g %.17g\n", file, column->name, column->least, column->most);
}

int main(void)
{
    static const struct row_kind *const kinds[] = {&reading_kind, &part_kind,    &source_kind,
                                                   &period_kind,  &control_kind, &mark_kind};
    for (size_t i = 0; i < board_key_count; i++)
        print_range("board.csv", &board_keys[i]);
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        for (size_t j = 0; j < kinds[i]->column_count; j++)
            print_range(kinds[i]->file, &kinds[i]->columns[j]);
    return 0;
}
