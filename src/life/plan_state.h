/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is known of places and of the errors that readings have together, as one Gaussian that
 * readings to come make narrower. */
#ifndef SPOTFIELD_LIFE_PLAN_STATE_H
#define SPOTFIELD_LIFE_PLAN_STATE_H

#include <stddef.h>

#include "spotfield/field.h"

/* A reading to come: the rise of a place, what one standard deviation of each common error adds to
 * it, and its own error. */
typedef struct plan_reading {
    size_t place;
    double common_k[SF_COMMON_COUNT];
    double independent_k2;
} plan_reading;

/* Of the places of a joint rise, then the common errors in their standard deviations. */
typedef struct plan_state {
    size_t places, count;
    double *covariance; /* count x count */
    double *column;     /* for plan_state_take */
} plan_state;

/* SF_ERROR_MEMORY. Ended with plan_state_clear in any case. */
sf_status plan_state_make(const sf_joint_rise *joint, plan_state *made);
void plan_state_clear(plan_state *made);

/* What a place has of its own beside the joint rise, such as a can its own heat. */
void plan_state_widen(plan_state *of, size_t place, double variance_k2);

double plan_state_variance_k2(const plan_state *of, size_t place);

/* Covariance of a place with what a reading will show, and the variance of that. */
double plan_state_told_k2(const plan_state *of, size_t place, const plan_reading *reading);
double plan_state_shown_k2(const plan_state *of, const plan_reading *reading);

/* The state once the reading is taken. */
void plan_state_take(plan_state *of, const plan_reading *reading);

#endif
