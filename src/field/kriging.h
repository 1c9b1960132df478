/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Ordinary kriging itself, apart from boards (Gaussian-process regression without physics): a field
 * of unknown even mean and Matern covariance of order 3/2, read with noise (N. Cressie, Statistics
 * for Spatial Data, 1993, section 3.2). */
#ifndef SPOTFIELD_FIELD_KRIGING_H
#define SPOTFIELD_FIELD_KRIGING_H

#include <stddef.h>

#include "field/gaussian.h"
#include "spotfield/geometry.h"
#include "spotfield/status.h"

#define KRIGING_POINTS_LEAST 4 /* mean, sill, length and nugget */

typedef struct kriging_hyperparameters {
    double sill_k2;   /* variance of the field about its mean */
    double length_mm; /* over which it stays alike */
    double nugget_k2; /* noise beyond what is stated of each value */
} kriging_hyperparameters;

/* What was read where. noise_k2 is the covariance of the values' stated errors, count x count. */
typedef struct kriging_data {
    size_t count;
    const sf_point *points;
    const double *values, *noise_k2;
} kriging_data;

typedef struct kriging {
    const sf_point *points;
    kriging_hyperparameters at;
    gaussian under;       /* of the values: covariance, and its inverse */
    double *pulls, *ones; /* inverse (values - mean), inverse 1 */
    double weight;        /* 1' inverse 1: the mean's own variance is 1 / weight */
    double mean;
    double log_likelihood; /* of the values about their mean, without the constant in 2 pi */
} kriging;

/* The hyperparameters under which the values, about their best mean, are most likely.
 * SF_ERROR_DATA: fewer points than KRIGING_POINTS_LEAST, or all at one place; SF_ERROR_MEMORY,
 * SF_ERROR_NUMERIC. Of many points it looks at some hundred. */
sf_status kriging_likely(const kriging_data *of, kriging_hyperparameters *found);

/* Solves under given hyperparameters, for one point or more. The points must outlive *made, which
 * is ended with kriging_clear in any case. SF_ERROR_MEMORY; SF_ERROR_NUMERIC: two values of one
 * place without noise. */
sf_status kriging_solve(const kriging_data *of, const kriging_hyperparameters *at, kriging *made);
void kriging_clear(kriging *made);

/* The field at a place and, by way of variance_k2, the variance of that, the doubt of the mean
 * included. `work` holds count values. */
double kriging_at(const kriging *of, sf_point place, double *work, double *variance_k2);

/* Value i as the others predict it under the same hyperparameters: what is read of it less what is
 * predicted and, by way of variance_k2, the variance of that, its own noise included. Of two points
 * or more. (O. Dubrule, Math. Geol. 15 (1983) 687.) */
double kriging_leave_one_out(const kriging *of, size_t i, double *variance_k2);

#endif
