/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Warm-up series of invented boards, some with a slower body behind them, and how often the stated
 * interval holds the steady rise that is known there. */
#ifndef SPOTFIELD_BENCHMARK_WARMING_H
#define SPOTFIELD_BENCHMARK_WARMING_H

#include <stdbool.h>
#include <stddef.h>

/* One case: boards of 20 to 40 K in 6 to 18 min, drawn by chance, before a body of body_k in
 * body_min (0: none), or before any: none, or one of 6, 10 or 15 K in 45 to 180 min, each as often.
 * They are read rows times evenly up to last_min with sd_k of noise that is stated. */
typedef struct warming {
    double body_k, body_min;
    bool any_body;
    double last_min;
    double sd_k;
    size_t rows_least, rows_most; /* as many of each */
} warming;

typedef struct warming_tally {
    size_t drawn, refused, held; /* held: true value inside the 90 % interval that the warm-up
                                    states; no instrument errs here, so its doubt is left out */
    double error_sum_k, width_sum_k;
} warming_tally;

/* So many series of the case; false where a correction failed for another reason than its series.
 */
bool warming_tally_make(const warming *of, size_t count, unsigned long *seed, warming_tally *tally);

#endif
