/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The rows of a result's parts.csv, for the tests that hold other words against them. */
#ifndef SPOTFIELD_TESTS_CLI_PART_ROWS_H
#define SPOTFIELD_TESTS_CLI_PART_ROWS_H

#include <stddef.h>

enum { PARTS_MAX = 128 };

/* A row of parts.csv. */
typedef struct row {
    char ref[16], verdict[16];
    double temp_c, temp_sd_k, board_c, board_sd_k, life_h, used, low, high, past_life, worn_out;
} row;

/* Reads the file of a folder of results; how many there are. */
size_t read_rows(const char *folder, row rows[PARTS_MAX]);

#endif
