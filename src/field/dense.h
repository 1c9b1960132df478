/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The result of a fit by the dense covariance of the readings, from fits at several spreading
 * lengths. */
#ifndef SPOTFIELD_FIELD_DENSE_H
#define SPOTFIELD_FIELD_DENSE_H

#include "field/length_average.h"
#include "field/model.h"

/* Fills the result, joint included where it is asked for. The balance is factored anew.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status dense_report(const fit_data *data, balance *matrix, const candidates *seek,
                       const length_average *averaged, model_result *result);

/* Fills mean and log_evidence alone. */
void dense_log_evidence(const fit_data *data, const length_average *averaged, model_result *result);

#endif
