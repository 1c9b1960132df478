/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Unlikely sources as heat everywhere: the covariance that allows for them. */
#ifndef SPOTFIELD_FIELD_WIDE_HEAT_H
#define SPOTFIELD_FIELD_WIDE_HEAT_H

#include "field/length_fit.h"

/* Variance of heat at every node: as the estimate is made for, and with the mean square of
 * unlikely sources. */
void heat_variances(const fit_data *data, const length_fit *fit, double *heat, double *wide_heat);

/* Covariance of the readings with the wide heat in place of the other, readings x readings.
 * SF_ERROR_MEMORY. */
sf_status wide_covariance(const length_fit *fit, const double *heat, const double *wide_heat,
                          double *between);

#endif
