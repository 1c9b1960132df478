/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where a warm-up leads when nobody knows what stands behind the board: averaged over boards of any
 * time constant with a slower body of any share behind them. */
#ifndef SPOTFIELD_READINGS_ASYMPTOTE_H
#define SPOTFIELD_READINGS_ASYMPTOTE_H

#include <stddef.h>

/* count >= 1 readings of independent standard uncertainty sd_k > 0 at rising minutes >= 0. */
typedef struct warm_rows {
    const double *minute, *temp_k;
    size_t count;
    double sd_k;
    double start_k; /* at switch-on, as far as it is known; NAN: not at all */
} warm_rows;

typedef struct asymptote {
    double steady_k, steady_sd_k;     /* mean and standard deviation of what may come */
    double rise_k;                    /* from switch-on to there; negative for a cooling */
    double slow_share;                /* of that rise, the slower body's: mean */
    double beginning;                 /* chance that the readings end within half a time constant */
    double misfit;                    /* sum of squared gaps in sd, at the curve that fits best */
    double further_min, further_sd_k; /* a row there would bring the doubt to so much */
} asymptote;

/* A doubt below which the steady state counts as settled. */
#define SETTLED_SD_K 1.0

void asymptote_average(const warm_rows *of, asymptote *result);

#endif
