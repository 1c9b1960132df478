/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A job folder with as many things on the board as are asked for, to see how long it takes. */
#ifndef SPOTFIELD_TESTS_BENCHMARK_CROWDED_JOB_H
#define SPOTFIELD_TESTS_BENCHMARK_CROWDED_JOB_H

#include <stdbool.h>
#include <stddef.h>

typedef struct crowded_job {
    const char *folder; /* is there already */
    size_t parts, sources, readings;
} crowded_job;

/* Writes board, parts, sources and readings; the same seed writes the same. */
bool crowded_job_write(const crowded_job *asked, unsigned long seed);

#endif
