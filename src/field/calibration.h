/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A camera held against the readings taken beside it. */
#ifndef SPOTFIELD_FIELD_CALIBRATION_H
#define SPOTFIELD_FIELD_CALIBRATION_H

#include "field/fit_data.h"
#include "field/model.h"

/* How far all pixels are off together: pixel = board + offset_k + gain * pixel. */
typedef struct calibration {
    double offset_k, gain;
    double offset_k2, gain_k, gain2; /* variances and, between, the covariance */
} calibration;

/* Estimates offset and gain from single readings that lie among pixels, with the camera's own
 * uncertainties as prior, and takes them from the cells of the thermogram. Call it once, after
 * fit_data_take_field. Without such readings nothing changes but what is known: the prior. */
calibration calibrate_pixels(fit_data *gathered);

/* Variance that it leaves at a place of so much rise. */
double calibration_variance(const calibration *of, double rise_k);

/* The covariance that it leaves between two places. */
double calibration_covariance(const calibration *of, double one_k, double other_k);

/* Tells it in the summary of a fit; nothing where there are no pixels. */
void calibration_report(const fit_data *all, const calibration *camera, sf_field_summary *summary);

/* What all pixels have wrong together, the whole field has: added to its variance, and to the
 * covariance of the places taken together where there are any. */
void calibration_add_variance(const calibration *camera, model_result *result);
void calibration_add_covariance(const calibration *camera, model_result *result);

#endif
