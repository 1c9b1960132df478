/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What came of the boards of a machine, for a person at a terminal. */
#ifndef SPOTFIELD_CLI_MACHINE_TEXT_H
#define SPOTFIELD_CLI_MACHINE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "spotfield/survey.h"

/* One board; all of it by value, as it comes from another process. */
typedef struct machine_row {
    bool mapped; /* the rest is known */
    size_t replaced, checked, left;
    double hottest_c; /* of its cans, in service; NAN: there is none */
} machine_row;

machine_row machine_row_of(const sf_outcome *outcome);

/* Writes a line for each board, the worst first, and their sums. Boards that are not mapped come
 * before all others, then who has more to replace, more to check, the hotter can. False when
 * memory is short. */
bool machine_text_write(const machine_row *rows, const char *const *folders, size_t count,
                        FILE *to);

#endif
