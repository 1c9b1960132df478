/* What a warm-up series says of the steady temperature, with the reason where it says nothing:
 * sf_warmup_fit hides the reason, the correction of readings puts it in words. */
#ifndef SPOTFIELD_READINGS_WARMUP_H
#define SPOTFIELD_READINGS_WARMUP_H

#include <stddef.h>

#include "spotfield/status.h"

/* A board that moves less than this in this time counts as steady: between the criteria of
 * product standards, 1 K in an hour (IEC 60598-1) and 1 K in a quarter of one (IEC 60335-2-6). */
#define STEADY_WITHIN_K 1.0
#define STEADY_OVER_MIN 30.0

typedef enum warmup_verdict {
    WARMUP_FITTED,    /* one exponential; steady_k is its asymptote */
    WARMUP_LEVEL,     /* the last readings hold level; steady_k is their mean */
    WARMUP_STRAIGHT,  /* no curvature: the asymptote may be anywhere */
    WARMUP_OPEN,      /* the asymptote's error exceeds the whole rise */
    WARMUP_DRIFTING,  /* a second, slower warming shows */
    WARMUP_SCATTERED, /* no exponential passes within the stated uncertainty */
} warmup_verdict;

typedef struct warmup {
    warmup_verdict verdict;
    double steady_k, steady_sd_k; /* where fitted or level: same zero as the readings */
    double rise_k;                /* from the first reading to the steady state, not negative */
    size_t used;                  /* readings behind them */
} warmup;

/* Judges count >= 3 readings temp_k (rise or temperature, one zero for all) at rising minutes,
 * each with the independent standard uncertainty sd_k > 0. SF_OK with any verdict;
 * SF_ERROR_ARGUMENT, SF_ERROR_MEMORY, SF_ERROR_NUMERIC (the solver failed). */
sf_status warmup_judge(const double *minute, const double *temp_k, size_t count, double sd_k,
                       warmup *result);

#endif
