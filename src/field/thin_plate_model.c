/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A reference model among the field models: a smoothing spline that knows nothing of heat. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "field/model.h"
#include "field/reference_model.h"
#include "field/thin_plate.h"

#define LEAST_VARIANCE_K2 1e-8

static double at_place(const void *fitted, sf_point place, double *work, double *variance_k2)
{
    if (variance_k2)
        *variance_k2 = thin_plate_variance(fitted, place.x_mm, place.y_mm, work);
    return thin_plate_at(fitted, place.x_mm, place.y_mm);
}

/* Leave-one-out residuals of a linear smoother: read minus fitted over one minus its own weight. */
static sf_status report_readings(const thin_plate *spline, const reference_data *of,
                                 model_result *result)
{
    sf_estimate *without = array_new(of->count, sizeof *without);
    if (!without)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < of->count; i++) {
        double own = spline->adjoint[i * spline->count + i]; /* (1 - weight) / lambda */
        without[i] = (sf_estimate){of->values[i] - spline->coefficients[i] / own,
                                   sqrt(spline->variance / (spline->lambda * own))};
    }
    const reference_fit made = {spline, at_place, without, spline->variance, false};
    sf_status status = reference_report(of, &made, result);
    free(without);
    return status;
}

static sf_status fit_thin_plate(const sf_field_input *input, const sf_field_options *options,
                                const grid *laid, model_result *result, const char **why)
{
    (void)options;
    reference_data of;
    thin_plate spline = {0};
    sf_status status = reference_gather(input, laid, &of);
    if (status == SF_OK)
        status = thin_plate_fit(of.points, of.values, of.count, NAN, &spline);
    if (status == SF_ERROR_DATA)
        *why = "a thin plate needs 4 readings or more that do not lie on one line";
    if (status == SF_OK) {
        /* readings that agree to the last digit are still no finer than a thermometer */
        spline.variance = fmax(spline.variance, LEAST_VARIANCE_K2);
        status = report_readings(&spline, &of, result);
    }
    thin_plate_clear(&spline);
    reference_clear(&of);
    return status;
}

const field_model thin_plate_model = {
    .called = {"thin-plate",
               "reference: smoothing spline through the readings that knows nothing about heat"},
    .fit = fit_thin_plate,
};
