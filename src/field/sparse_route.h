/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The whole fit of many readings, a thermogram's cells among them. */
#ifndef SPOTFIELD_FIELD_SPARSE_ROUTE_H
#define SPOTFIELD_FIELD_SPARSE_ROUTE_H

#include "field/balance.h"
#include "field/fit_data.h"
#include "field/model.h"

#define LEARNING_READINGS 60

/* Spreading lengths and hyperparameters are learnt from a well-spread few readings, since that
 * costs the cube of their number many times over; field, doubt and unlisted sources are those of
 * all. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status fit_sparse(fit_data *all, balance *matrix, double position_sd_mm, model_result *result);

#endif
