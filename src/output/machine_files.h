/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The boards of a machine told together: the page, the table of boards, the one kit. */
#ifndef SPOTFIELD_OUTPUT_MACHINE_FILES_H
#define SPOTFIELD_OUTPUT_MACHINE_FILES_H

#include "core/text.h"
#include "output/board_results.h"
#include "spotfield/diagnostic.h"

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
