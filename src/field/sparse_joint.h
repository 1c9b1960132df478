/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The field of many readings at several places taken together. */
#ifndef SPOTFIELD_FIELD_SPARSE_JOINT_H
#define SPOTFIELD_FIELD_SPARSE_JOINT_H

#include "field/model.h"
#include "field/sparse.h"

/* Fills result->joint from the averaged field in result->rise_k: the covariance that the fit at
 * index `best` leaves, and how the count fits with their weights differ.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status sparse_joint_fill(const fit_data *data, sparse_fit *fits, const double *weights,
                            size_t count, size_t best, const model_result *result);

#endif
