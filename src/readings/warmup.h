/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a warm-up series says of the steady temperature, with the reason where it says nothing:
 * sf_warmup_fit hides the reason, the correction of readings puts it in words. */
#ifndef SPOTFIELD_READINGS_WARMUP_H
#define SPOTFIELD_READINGS_WARMUP_H

#include <stddef.h>

#include "spotfield/status.h"

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

/* A board that moves less counts as steady: half of what product standards allow in an hour, 1 K
 * (IEC 60598-1). A cabinet of 90 min then still has 0.5 K to come, one of 240 min 1.8 K, computed
 * from the formula 0.5/(exp(60/tau) - 1). */
#define STEADY_TEXT "0.5 K in an hour"

typedef enum warmup_verdict {
    WARMUP_FITTED,    /* `led` says where it leads */
    WARMUP_STRAIGHT,  /* the board itself is at its beginning: it may lead anywhere */
    WARMUP_OPEN,      /* the doubt exceeds a third of the whole rise */
    WARMUP_SCATTERED, /* no warm-up curve passes within the stated uncertainty */
} warmup_verdict;

typedef struct warmup {
    warmup_verdict verdict;
    asymptote led; /* same zero as the readings */
} warmup;

/* Judges count >= 3 readings temp_k (rise or temperature, one zero for all) at rising minutes since
 * switch-on, each with the independent standard uncertainty sd_k > 0. start_k is what a cold board
 * shows at switch-on, NAN where that is not known. SF_OK with any verdict; SF_ERROR_ARGUMENT,
 * SF_ERROR_NUMERIC where numbers are too large to go on with. */
sf_status warmup_judge(const double *minute, const double *temp_k, size_t count, double sd_k,
                       double start_k, warmup *result);

#endif
