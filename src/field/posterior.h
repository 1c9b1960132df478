/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is told of fits at several spreading lengths, whichever way they were made: by the
 * covariance of few readings (dense.c), or by the precision of the field (sparse_posterior.c). */
#ifndef SPOTFIELD_FIELD_POSTERIOR_H
#define SPOTFIELD_FIELD_POSTERIOR_H

#include "field/can_share.h"
#include "field/gaussian.h"
#include "field/model.h"

/* Mean and mean square of a mixture: weight w at a value with its own variance. */
typedef struct mixture {
    double mean, square;
} mixture;

void mix(mixture *into, double weight, double value, double variance);
sf_estimate mixed(const mixture *of);

/* One length's part of it. Arrays are owned. */
typedef struct posterior_summary {
    double weight; /* of the length; all sum to 1 */
    double length_mm;
    hyperparameters fitted;
    double loss_sd_ln;
    double log_posterior;
    double background_k, background_k2;   /* posterior mean and variance */
    double *strength_k_mm2, *strength_k2; /* per listed source: the same, K mm2 and its square */
    double *own;                          /* per listed source: its mean rise at 1 K mm2 */
} posterior_summary;

/* Of a fit by its Green's functions and hyperparameters; strengths, background, doubt of the loss
 * and evidence are still 0. SF_ERROR_MEMORY; ended with posterior_summary_clear in any case. */
sf_status posterior_summary_new(const green_functions *green, const hyperparameters *fitted,
                                posterior_summary *made);
void posterior_summary_clear(posterior_summary *made);

/* Heat into the board of a strength in K mm2, the doubt of the loss coefficient included. */
sf_estimate strength_w(const posterior_summary *of, sf_estimate strength_k_mm2);

/* What all readings tell of the error of one, its own and what it has together with others: its
 * variance, what is expected of it, and how much of the variance is told. */
typedef struct told_error {
    double whole_k2, off_k, told_k2;
} told_error;

/* How a way answers; `of` is its own. What is not said to be of a length is of the likeliest. */
typedef struct posterior_way {
    const peaked_field *(*mean)(const void *of, size_t length);
    sf_status (*summarise)(const void *of, size_t length, posterior_summary *made);
    sf_status (*doubt)(void *of, model_result *result); /* adds it; is asked before what follows */
    cans_told (*cans)(void *of);
    /* covariances of a place with what all cans have together, after `cans` */
    void (*with_cans)(void *of, const grid_sample *at, sf_point place, double with_k[CANS_SHARED]);
    told_error (*error)(void *of, size_t reading);
    void (*add_found)(const void *of, const posterior_summary *told, model_result *result);
    sf_status (*joint)(void *of, model_result *result);
} posterior_way;

typedef struct posterior {
    const posterior_way *way;
    void *of;
    const fit_data *data;
    size_t count, best;            /* lengths, and which of them is the likeliest */
    const double *weights;         /* per length */
    const sf_estimate *left_out_k; /* per reading: what all others predict */
    const double *alone;           /* per reading: see sf_reading_fit; NULL for not */
    const double *place_k2;        /* per reading: of its variance, what no mean of several in one
                                      cell lessens; NULL where there is no such mean */
    const hyperparameters *at;     /* those of the likeliest length */
} posterior;

/* Fills the result, joint included where it is asked for. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status posterior_report(const posterior *of, model_result *result);

#endif
