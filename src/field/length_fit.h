/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The fit at one spreading length: hyperparameters by maximum posterior, unlisted sources sought.
 */
#ifndef SPOTFIELD_FIELD_LENGTH_FIT_H
#define SPOTFIELD_FIELD_LENGTH_FIT_H

#include "field/gaussian.h"
#include "field/unlisted.h"

typedef struct length_fit {
    green_functions green;
    hyperparameters fitted;
    gaussian under;
    unlisted found;       /* started only where candidates are given */
    double *weights;      /* per reading: inverse covariance times the residual */
    peaked_field mean;    /* posterior mean */
    double log_posterior; /* evidence, with the priors of hyperparameters and length */
    double loss_sd_ln;    /* doubt of ln loss_w_m2k */
    bool held;            /* other readings told the hyperparameters */
} length_fit;

/* Fits at length_mm. `start` gives the hyperparameters to begin with (the prior's medians, or a
 * neighbour's fit). `seek` NULL fits without unlisted sources. *made is ended with length_fit_clear
 * in any case. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status length_fit_make(const fit_data *data, balance *matrix, double length_mm,
                          const hyperparameters *start, const candidates *seek, length_fit *made);
/* The same at the length and with the hyperparameters and their doubt that another fit learnt. */
sf_status length_fit_hold(const fit_data *data, balance *matrix, const length_fit *learnt,
                          const candidates *seek, length_fit *made);
void length_fit_clear(length_fit *made);

/* The hyperparameters that all readings but one make likely, at the fit's length and with its found
 * sources; held ones stay. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status length_fit_hyperparameters_without(const fit_data *data, const length_fit *fit,
                                             size_t reading, hyperparameters *fitted);

/* Log evidence, as log_posterior, of data that differ from those of the fit in what was read, at
 * the fit's length with nothing unlisted, the hyperparameters fitted anew. SF_ERROR_MEMORY,
 * SF_ERROR_NUMERIC. */
sf_status length_fit_alone(const fit_data *data, const length_fit *fit, double *log_evidence);

/* Sets the posterior mean from hyperparameters, weights and found sources; the balance is
 * factored for the fit's length. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status length_fit_set_mean(const fit_data *data, balance *matrix, length_fit *fit);

#endif
