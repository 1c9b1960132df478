/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The folders of invented jobs. Each function answers whether all was written; else errno tells. */
#ifndef BENCHMARK_JOB_FILES_H
#define BENCHMARK_JOB_FILES_H

#include <stdio.h>

#include "benchmark/raised.h"

bool job_folder_make(const char *path); /* or it is there already */
FILE *job_file_open(const char *folder, const char *name);
bool job_file_close(FILE *written);

bool job_board_write(const invented *board, const char *folder, size_t number);
bool job_outline_write(const invented *board, const char *folder);
bool job_sources_write(const invented *board, const char *folder, bool mounts);
bool job_parts_write(const invented *board, const char *folder, size_t count, bool heights);

/* Share of rated life used at a temperature in service: the 10-kelvin rule without credit below
 * 40 C (common practice, no source). */
double job_used(const invented *board, size_t part, double temp_c);

/* A plane board's folder with its truth; a raised one's. In service either rises as on the bench,
 * over the air of the cabinet. With `mounts` sources.csv says how each stands. */
bool job_write(const invented *board, const char *folder, size_t number);
bool job_write_raised(const raised *board, const char *folder, size_t number, bool mounts);

#endif
