/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The readings as one Gaussian: expected values, covariance and likelihood under given
 * hyperparameters. */
#ifndef SPOTFIELD_FIELD_GAUSSIAN_H
#define SPOTFIELD_FIELD_GAUSSIAN_H

#include "field/fit_data.h"
#include "field/green.h"

/* The hyperparameters of the priors. All but `patch` are fitted, which readings do not tell from
 * off_share. Their priors are log-normal; medians and doubts in gaussian.c. */
typedef struct hyperparameters {
    double white_k;        /* field sd of heat that is everywhere and nobody listed */
    double copper;         /* sd of the share by which copper conducts more here, less there */
    double noise;          /* factor on the readings' own uncertainty */
    double strength_k_mm2; /* population of heat sources, heat over loss */
    double loss_w_m2k;     /* h; turns watts into strength */
    double off_share;      /* sd of what the whole model is off by, as a share of the rise */
    double off_mm;         /* over what length that stays alike */
    double patch;          /* field sd of patchy losses, as a share of the rise */
} hyperparameters;

#define HYPERPARAMETER_COUNT 7
#define STRENGTH_SD_LN 0.8 /* log-normal doubt of strength_k_mm2 */

/* Median of each hyperparameter's prior. */
hyperparameters hyperparameters_prior(const fit_data *data);

/* Logarithms of the hyperparameters and back, for a minimizer. */
void hyperparameters_to_logs(const hyperparameters *from, double logs[HYPERPARAMETER_COUNT]);
hyperparameters hyperparameters_from_logs(const double logs[HYPERPARAMETER_COUNT]);

/* Log density of the hyperparameters' prior, up to a constant. */
double hyperparameters_log_prior(const fit_data *data, const hyperparameters *at);

/* Heat into the board of a source whose watts are listed: the share that its mount lets in, with
 * the doubt of both. */
sf_estimate listed_power_w(const sf_source *source);

/* Variance of the heat that is everywhere, at a node: white, and of patchy losses in proportion to
 * the rise. */
double heat_variance(const fit_data *data, const green_functions *green, const hyperparameters *at,
                     size_t node);

/* Variance of a reading about the field: its own, times the noise factor, and its place's. */
double reading_variance_k2(const fit_data *data, const hyperparameters *at, size_t reading);

/* Prediction of one reading from all others, in closed form from what the inverse covariance C^-1
 * makes of it and of all: the reading minus pull = (C^-1 r)_i over precision = (C^-1)_ii. */
sf_estimate leave_one_out(const fit_data *data, size_t reading, double pull, double precision);

/* What the fit works with under given hyperparameters, for one set of data and its Green's
 * functions. All arrays are owned. */
typedef struct gaussian {
    size_t readings, sources;
    double *strength_mean; /* per source: prior mean, K mm2 */
    double *strength_sd;   /* per source: prior sd */
    /* A search for hyperparameters asks for the covariance many hundred times: */
    double *scale_k;    /* per reading: what a discrepancy is a share of */
    double *fixed;      /* readings x readings, lower triangle: what no hyperparameter changes */
    double *alike;      /* the same, of sources as their population has them, at 1 K mm2 */
    double *listed;     /* the same, of listed watts, at a loss of 1 W/m2K */
    double *expected;   /* per reading */
    double *covariance; /* readings x readings, symmetric */
    double *cholesky;   /* its lower factor */
    double *below;      /* the inverse of that */
    double *inverse;    /* that of the covariance; both filled by gaussian_invert */
} gaussian;

/* Room for a covariance that is filled in by other means than gaussian_set. SF_ERROR_MEMORY. *made
 * is ended with gaussian_clear in any case. */
sf_status gaussian_new(size_t readings, size_t sources, gaussian *made);
/* The same for gaussian_set of these data and Green's functions. */
sf_status gaussian_of(const fit_data *data, const green_functions *green, gaussian *made);
void gaussian_clear(gaussian *made);

/* Fills all but the inverse. SF_ERROR_NUMERIC when the covariance is not positive definite. */
sf_status gaussian_set(gaussian *into, const fit_data *data, const green_functions *green,
                       const hyperparameters *at);
/* Factors the covariance anew after it was changed. */
sf_status gaussian_refactor(gaussian *into);
/* Fills the inverse from the factor. */
void gaussian_invert(gaussian *into);

/* Log density of a residual (readings minus expected), without the constant in 2 pi.
 * `work` holds one value a reading. */
double gaussian_log_density(const gaussian *of, const double *residual, double *work);

#endif
