/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit tells beside the field: sources, background and hyperparameters, averaged over the
 * spreading lengths it was made at. */
#ifndef SPOTFIELD_FIELD_POSTERIOR_SUMMARY_H
#define SPOTFIELD_FIELD_POSTERIOR_SUMMARY_H

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
    double background_k, background_k2; /* posterior mean and variance */
    size_t listed;
    double *strength_k_mm2, *strength_k2; /* per listed source: the same, K mm2 and its square */
    double *own;                          /* per listed source: its mean rise at 1 K mm2 */
} posterior_summary;

/* SF_ERROR_MEMORY; ended with posterior_summary_clear in any case. */
sf_status posterior_summary_new(size_t listed, posterior_summary *made);
void posterior_summary_clear(posterior_summary *made);

/* Heat into the board of a strength in K mm2, the doubt of the loss coefficient included. */
sf_estimate strength_w(const posterior_summary *of, sf_estimate strength_k_mm2);

/* Fills the listed sources and the summary from the summaries of count lengths. */
void posterior_summaries_report(const fit_data *data, const posterior_summary *summaries,
                                size_t count, model_result *result);

/* Names the sources of the result that were found: "unlisted 1", ... */
void number_unlisted(model_result *result);

#endif
