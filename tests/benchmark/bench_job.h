/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A raised board as the program sees it, without any file. */
#ifndef BENCHMARK_BENCH_JOB_H
#define BENCHMARK_BENCH_JOB_H

#include "benchmark/raised.h"
#include "spotfield/job.h"

/* Texts and arrays are its own, the board's or static, so that it must not be moved, and needs no
 * freeing. The parts are the board's cans, in their order. */
typedef struct bench_job {
    sf_job job;
    sf_source sources[SOURCES_MOST];
    sf_part parts[PARTS];
    sf_reading readings[READINGS_MOST];
    char refs[SOURCES_MOST + PARTS + READINGS_MOST][24];
} bench_job;

/* Everything but the readings. */
void bench_job_set(bench_job *into, const raised *board);

/* Takes over what was read on the board so far. */
void bench_job_read(bench_job *into, const raised *board);

#endif
