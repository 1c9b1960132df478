/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings on a bench, for the tests of their corrections. */
#ifndef SPOTFIELD_TESTS_READINGS_BENCH_H
#define SPOTFIELD_TESTS_READINGS_BENCH_H

#include "readings/told.h"
#include "spotfield/reading.h"
#include "support/check.h"

#define ROWS_MAX 16

/* The judgements of src/readings/correction.h, said once more so that a change is seen:
 * half of the variance of a stated uncertainty is the instrument's, the air is known to 0.5 K, a
 * reading without a stated uncertainty repeats to 0.5 K. */
#define SHARED 0.5
#define AIR_K 0.5
#define REPEAT_K 0.5

/* A bench at 23.6 C; every row as a type K bead read steady, until a test says otherwise. */
typedef struct bench {
    sf_job job;
    sf_reading rows[ROWS_MAX];
    sf_observation *observations;
    size_t count;
    sf_diagnostics diagnostics;
    sf_status status;
} bench;

/* Of so many rows. What is corrected is ended with clear_bench. */
void lay_bench(bench *on, size_t count);
void correct(bench *on);
void clear_bench(bench *on);

/* Square root of the sum of the squares of an observation's errors that readings share. */
double common_k(const sf_observation *made);

/* The sd that one row gets; no error is allowed. Clears the bench. */
double sd_of(bench *on);

#endif
