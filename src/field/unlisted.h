/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Heat sources that nobody listed: sought by evidence over place and size, and averaged over
 * finding or not.
 *
 * The unlisted heat is a sum of EFFECT_COUNT single effects. Each is one candidate footprint at an
 * exponentially distributed strength, or nothing; its posterior is a share for every candidate and
 * for nothing. The effects are updated in turn until they settle, which maximises a lower bound of
 * the evidence (sum of single effects: G. Wang, A. Sarkar, P. Carbonetto, M. Stephens, J. R. Stat.
 * Soc. B 82 (2020) 1273; here with a positive strength and correlated noise). */
#ifndef SPOTFIELD_FIELD_UNLISTED_H
#define SPOTFIELD_FIELD_UNLISTED_H

#include "field/candidates.h"
#include "field/gaussian.h"

#define EFFECT_COUNT 4
#define FOUND_PROBABILITY 0.5 /* from which an unlisted source is named */
#define NOTHING_PRIOR 0.88    /* that an effect is no source; 4 effects expect 0.5 sources */

/* One effect's posterior. */
typedef struct effect {
    double *share;     /* per candidate; with `nothing` they sum to 1 */
    double *mean;      /* per candidate: strength if it is that one, K mm2 */
    double *variance;  /* per candidate */
    double nothing;    /* share of no source at all */
    double log_factor; /* evidence over nothing, averaged over candidates */
    double *mean_at;   /* per reading: expected contribution */
} effect;

typedef struct unlisted {
    const candidates *from;
    size_t readings;
    double *at_readings; /* candidates rows of readings: contribution at 1 K mm2 */
    effect effects[EFFECT_COUNT];
    double *second_at; /* readings x readings: expected products of contributions, of all effects */
    double *spread_at; /* the same less the products of their means: covariance */
    double bound;      /* what the effects add to the bound of the evidence */
} unlisted;

/* Starts with nothing found at one spreading length. SF_ERROR_MEMORY; ended with
 * unlisted_clear in any case. */
sf_status unlisted_start(const candidates *from, const green_functions *green, unlisted *made);
void unlisted_clear(unlisted *made);

/* Updates all effects for readings (per reading, kelvin) under a Gaussian with its inverse set and
 * a population of strengths with mean strength_k_mm2. SF_ERROR_MEMORY. */
sf_status unlisted_update(unlisted *sought, const gaussian *under, const double *rise_k,
                          double strength_k_mm2);

/* Sum of the effects' expected contributions, one value a reading. */
void unlisted_mean_at(const unlisted *found, double *mean_at);

/* What the effects' doubt takes from the log evidence under a Gaussian: half the trace of its
 * inverse times their covariance. */
double unlisted_doubt(const unlisted *found, const gaussian *under);

#define CANDIDATE_SHARE 0.02 /* of an effect, from which a candidate counts */

/* Whether a candidate of an effect counts as a source that likely stands there. */
bool candidate_likely(const effect *one, size_t candidate);

/* Mean square of the strength that an effect gives a candidate. */
double candidate_square(const effect *one, size_t candidate);

#endif
