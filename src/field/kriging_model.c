/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A reference model among the field models: ordinary kriging, which knows nothing of heat. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "field/kriging.h"
#include "field/model.h"
#include "field/reference_model.h"

static double at_place(const void *fitted, sf_point place, double *work, double *variance_k2)
{
    return kriging_at(fitted, place, work, variance_k2);
}

/* Covariance of the stated errors of two points, as of the board. */
static double stated_between(const reference_data *of, size_t i, size_t k)
{
    const fit_data *all = &of->gathered;
    size_t reading = of->reading[i], other = of->reading[k];
    return (common_between_k2(all, reading, other) +
            (reading == other ? all->variance_k2[reading] : 0)) /
           (all->share[reading] * all->share[other]);
}

static sf_status report_readings(const kriging *fit, const reference_data *of, model_result *result)
{
    sf_estimate *without = array_new(of->count, sizeof *without);
    double variance_k2;
    if (!without)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < of->count; i++) {
        without[i].value = of->values[i] - kriging_leave_one_out(fit, i, &variance_k2);
        without[i].sd = sqrt(variance_k2);
    }
    const reference_fit made = {fit, at_place, without, fit->at.nugget_k2, true};
    sf_status status = reference_report(of, &made, result);
    free(without);
    return status;
}

static sf_status fit_points(const reference_data *of, kriging *made)
{
    size_t count = of->count;
    double *noise_k2 = array_new(count * count, sizeof *noise_k2);
    const kriging_data data = {count, of->points, of->values, noise_k2};
    kriging_hyperparameters likely;
    if (!noise_k2)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            noise_k2[i * count + k] = stated_between(of, i, k);
    sf_status status = kriging_likely(&data, &likely);
    if (status == SF_OK)
        status = kriging_solve(&data, &likely, made);
    free(noise_k2);
    return status;
}

static sf_status fit_kriging(const sf_field_input *input, const sf_field_options *options,
                             const grid *laid, model_result *result, const char **why)
{
    (void)options;
    reference_data of;
    kriging made = {0};
    sf_status status = reference_gather(input, laid, &of);
    if (status == SF_OK)
        status = fit_points(&of, &made);
    if (status == SF_ERROR_DATA)
        *why = "kriging needs 4 readings or more that were not all taken at one place";
    if (status == SF_OK)
        status = report_readings(&made, &of, result);
    kriging_clear(&made);
    reference_clear(&of);
    return status;
}

const field_model kriging_model = {
    .called = {"kriging", "reference: weighted mean of the readings that knows nothing about heat"},
    .fit = fit_kriging,
};
