/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The posterior variance of the field at every node, at one spreading length. */
#ifndef SPOTFIELD_FIELD_UNCERTAINTY_H
#define SPOTFIELD_FIELD_UNCERTAINTY_H

#include "field/length_fit.h"

/* What of the variance the readings' common errors make: independent_k2 and common_shift_k of a
 * model_result. */
typedef struct reading_part {
    double *independent_k2, *common_shift_k;
    double *with_cans_k; /* CANS_SHARED rows of nodes: covariance with what cans share, in sds */
} reading_part;

/* Adds the variance at every node to variance_k2, from heat everywhere, background, listed sources
 * and unlisted ones. The balance is factored anew for the fit's length.
 * own_k: per candidate, the mean rise a found source of 1 K mm2 makes on its own footprint, set
 * for those whose share in an effect is at least CANDIDATE_SHARE, else left alone.
 * part: filled in where not NULL.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status uncertainty_add(const fit_data *data, balance *matrix, const length_fit *fit,
                          double *variance_k2, double *own_k, const reading_part *part);

#endif
