/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Results read back from their folder: what a machine's board came to, computed now or before. */
#ifndef SPOTFIELD_OUTPUT_BOARD_RESULTS_H
#define SPOTFIELD_OUTPUT_BOARD_RESULTS_H

#include <stdbool.h>
#include <stddef.h>

#include "job/intake.h"
#include "life/kit_join.h"
#include "spotfield/status.h"

/* One board; all of it by value, as it comes from another process. */
typedef struct board_row {
    bool mapped;    /* the rest is known */
    bool unchanged; /* its results stood already */
    size_t counts[SF_VERDICT_COUNT];
    double hottest_c;                         /* of its cans, in service; NAN: there is none */
    double spare_pct;                         /* its policy's kit_spare_pct */
    excerpt name, machine, owner, technician; /* of its board.csv; "" not given */
} board_row;

size_t board_row_parts(const board_row *row);

/* Counts the parts of parts.csv and finds the hottest. False where the file cannot be read. */
bool board_row_count(const char *folder, board_row *into);

/* Joins the lines of kit.csv to a kit, their references behind the name of the board. */
sf_status board_kit_join(const char *folder, const char *board, kit_join *into);

#endif
