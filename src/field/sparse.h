/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The fit of many readings at one spreading length, through the precision: the same posterior as
 * that of length_fit.h under held hyperparameters, at a cost of readings + nodes^1.5. */
#ifndef SPOTFIELD_FIELD_SPARSE_H
#define SPOTFIELD_FIELD_SPARSE_H

#include "field/posterior.h"
#include "field/precision.h"

/* What many readings share: unknowns with normal priors, one column each. The first is the
 * background, then come listed sources, the shares of the copper, the knots of the discrepancy,
 * what all cans have together, the errors that readings have together, what each can that was read
 * more than once has of its own, and found sources, for SF_UNLISTED_MOST of which there is room. */
typedef struct shared_unknowns {
    size_t count, listed, knots, off, cans, found;
    size_t can_share, common; /* the first of what cans, and of what readings have together */
    double *mean, *sd;        /* per unknown: prior */
    double *fields; /* per unknown, rows of nodes: what one unit of it adds to the field */
    double *at;     /* per unknown, rows of readings: what it adds to the readings */
} shared_unknowns;

/* Start from {0}; ended with sparse_fit_clear in any case. */
typedef struct sparse_fit {
    green_functions green; /* fields of sources alone: it counts no readings */
    hyperparameters held;
    double loss_sd_ln;
    shared_unknowns unknowns;
    double *variance_k2; /* per reading: noise, place, what knots leave out, and what its can has
                            of its own where that was read but once */
    double *off_k2;      /* per node: what the knots of the discrepancy leave out */
    precision *seen;
    double log_seen;   /* evidence of the readings but for what the unknowns add */
    double *told;      /* per node: Q^-1 H' R^-1 of the readings */
    double *answers;   /* per unknown, rows of nodes: Q^-1 H' R^-1 of its column */
    double *pulls;     /* per unknown, rows of readings: V^-1 of its column, in its own sd */
    double *posterior; /* unknowns x unknowns: lower Cholesky factor of their precision, in sds */
    double *unknown_mean;     /* per unknown: posterior */
    double *unknown_variance; /* per unknown */
    double *weights;          /* per reading: inverse covariance times the residual */
    peaked_field mean;        /* posterior mean */
    double log_posterior;     /* evidence, with the prior of the length */
} sparse_fit;

/* Fits all readings of data at length_mm under hyperparameters that are held. found_heat, rows of
 * nodes, is the heat of at most SF_UNLISTED_MOST found sources at 1 K mm2, summing up to 1 / cell
 * area each. The balance is left factored for the length. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status sparse_fit_make(const fit_data *data, balance *matrix, double length_mm,
                          const hyperparameters *held, const double *found_heat, size_t found_count,
                          sparse_fit *made);

/* The same fit with one more found source; the balance is factored for its length. Where it fails
 * the fit is good for sparse_fit_clear alone. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status sparse_fit_add(const fit_data *data, balance *matrix, const double *found_heat,
                         sparse_fit *made);

/* The same fit without the found source that was added last. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status sparse_fit_drop(const fit_data *data, sparse_fit *made);
void sparse_fit_clear(sparse_fit *made);

/* What one unit of an unknown makes of a place. */
double sparse_unknown_value(const fit_data *data, const sparse_fit *of, size_t unknown,
                            const grid_sample *sample, sf_point place);

/* What the unknowns add to the doubt at a place, a row of `count` independent parts: the squares'
 * sum is the variance, products of two places' rows their covariance. */
void sparse_unknown_row(const fit_data *data, const sparse_fit *fit, const grid_sample *sample,
                        sf_point place, double *row);

/* What the readings tell of what all cans have together; `columns` has room for CANS_SHARED rows of
 * a number an unknown, and holds then what sparse_unknown_row's is multiplied by to have the
 * covariance with each. */
cans_told sparse_cans(const sparse_fit *fit, double *columns);

/* The same column of an error that readings have together, 0 to SF_COMMON_COUNT - 1. */
void sparse_common(const sparse_fit *fit, size_t common, double *column);

/* `rows` has room for two numbers an unknown. */
told_error sparse_error(const fit_data *data, const sparse_fit *fit, size_t reading,
                        sf_estimate left_out_k, double *rows);

/* Adds the posterior variance at every node to variance_k2; left_out_k, per reading, is told what
 * the others predict of it, its noise in the sd. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status sparse_fit_doubt(const fit_data *data, sparse_fit *fit, double *variance_k2,
                           sf_estimate *left_out_k);

#endif
