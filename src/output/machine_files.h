/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The boards of a machine told together: the page, the table of boards, the one kit. */
#ifndef SPOTFIELD_OUTPUT_MACHINE_FILES_H
#define SPOTFIELD_OUTPUT_MACHINE_FILES_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"
#include "job/intake.h"
#include "life/order.h"
#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* --- results read back from their folder: what a machine's board came to, computed now or before
 * --- */

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

/* --- the boards told together --- */

typedef struct machine_told {
    const char *const *jobs;  /* folders, as they were typed */
    const char *const *names; /* of these folders */
    const char *const *links; /* the results, as seen from the folder of the page */
    const board_row *rows;
    const size_t *order; /* the worst first */
    size_t count;
    const sf_kit *kit; /* of all boards that are mapped */
} machine_told;

/* Boards that are not mapped come before all others, then who has more to replace, more to check,
 * the hotter can. New array, freed with free(); NULL when memory is short. */
size_t *board_rows_order(const board_row *rows, size_t count);

/* "4 boards, 213 capacitors: replace 41, check 22, leave 150." and how many were not mapped. New
 * text, freed with free(); NULL when memory is short. */
char *machine_sentence(const machine_told *told);

/* Writes boards.csv, kit.csv, order.csv and index.html into `folder`, all or none; what was wrong
 * is added to `diagnostics`. SF_ERROR_WRITE, SF_ERROR_MEMORY. */
sf_status machine_files_write(const machine_told *told, const char *folder,
                              sf_diagnostics *diagnostics);

void machine_html(const machine_told *told, text *into);

#endif
