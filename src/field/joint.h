/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The field at several places taken together. */
#ifndef SPOTFIELD_FIELD_JOINT_H
#define SPOTFIELD_FIELD_JOINT_H

#include "field/length_average.h"
#include "field/model.h"

/* Empty, of count places; NULL when memory is short. Freed with sf_joint_rise_free. */
sf_joint_rise *joint_new(size_t count);

/* Mean and slope at the places of result->joint, and in `samples` where each lies on the grid. */
void joint_set_means(const fit_data *data, const model_result *result, grid_sample *samples);

/* Adds how the field at one length differs from the mean of all, by its weight; `work` holds one
 * value a place. */
void joint_add_spread(const fit_data *data, const model_result *result, const peaked_field *field,
                      double weight, double *work);

/* Fills result->joint from the fits and the averaged field in result->rise_k. The balance is
 * factored anew for the best length. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status joint_fill(const fit_data *data, balance *matrix, const length_average *averaged,
                     const model_result *result);

#endif
