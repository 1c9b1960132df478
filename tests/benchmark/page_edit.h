/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How long the page takes from an edit to the new picture. */
#ifndef SPOTFIELD_TESTS_BENCHMARK_PAGE_EDIT_H
#define SPOTFIELD_TESTS_BENCHMARK_PAGE_EDIT_H

#include "benchmark/crowded_job.h"

/* Processor time from an edit of the job's readings to the text that the browser draws from, all
 * that the server does: the least of a few edits. Writes the job into its folder. NAN where it
 * fails. */
double page_edit_s(const crowded_job *asked);

#endif
