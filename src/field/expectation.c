/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The prior of the heat balance as a set of fields, in the form that fits take. */
#include "field/expectation.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

/* Judgements: what a board that somebody wants read has under a source, and all over where no
 * source is listed. */
#define TYPICAL_SOURCE_K 15.0
#define TYPICAL_BOARD_K 5.0
#define LEAST_BACKGROUND_K 2.0
#define BACKGROUND_SHARE 0.7 /* of the mean rise, as with readings */

/* A normal distribution in two dimensions by five points: exact to the third order. */
static const struct sigma_point {
    double length_sd, heat_sd, weight;
} sigma_points[LENGTHS_MOST] = {
    {0, 0, 1.0 / 3},
    {-1.7320508075688772, 0, 1.0 / 6},
    {1.7320508075688772, 0, 1.0 / 6},
    {0, -1.7320508075688772, 1.0 / 6},
    {0, 1.7320508075688772, 1.0 / 6},
};

/* A population of heat sources before any was read: the typical source counts as one, and each
 * source of known watts as one more. *sd_ln is what is left to doubt. */
static double expect_strength(const fit_data *data, const green_functions *green, double *sd_ln)
{
    double sum_ln = log(TYPICAL_SOURCE_K / green->own_median), count = 1;
    for (size_t j = 0; j < green->sources; j++) {
        double power_w = listed_power_w(&data->input->sources[j]).value;
        if (!(power_w > 0))
            continue;
        double alike = sqrt(green->own_median / green->own[j]);
        sum_ln += log(power_w * 1e6 / data->built.loss_w_m2k / alike);
        count++;
    }
    *sd_ln = STRENGTH_SD_LN / sqrt(count);
    return exp(sum_ln / count);
}

/* The energy balance ties the mean rise of the board to the heat of its sources. */
static void set_hyperparameters(fit_data *data, const green_functions *green, double *heat_sd_ln)
{
    double area_mm2 = (double)data->laid->nodes * data->laid->cell_mm * data->laid->cell_mm;
    double shares = (double)green->sources + 1.5, board_k = TYPICAL_BOARD_K;
    *heat_sd_ln = STRENGTH_SD_LN;
    data->strength_k_mm2 = board_k * area_mm2 / shares;
    if (green->sources > 0) {
        data->strength_k_mm2 = expect_strength(data, green, heat_sd_ln);
        board_k = data->strength_k_mm2 * shares / area_mm2;
    }
    data->background_k = fmax(LEAST_BACKGROUND_K, BACKGROUND_SHARE * board_k);
}

/* Every effect as it is before a reading speaks. */
static void set_unlisted(unlisted *found, double strength_k_mm2)
{
    for (int k = 0; k < EFFECT_COUNT; k++) {
        effect *one = &found->effects[k];
        one->nothing = NOTHING_PRIOR;
        for (size_t c = 0; c < found->from->count; c++) {
            one->share[c] = (1 - NOTHING_PRIOR) * found->from->prior[c];
            one->mean[c] = strength_k_mm2;
            one->variance[c] = strength_k_mm2 * strength_k_mm2;
        }
    }
}

/* The expected field at one length under given hyperparameters, as a fit without readings. */
static sf_status expect_at(const fit_data *data, balance *matrix, double length_mm,
                           const hyperparameters *at, const candidates *seek, length_fit *made)
{
    *made = (length_fit){
        .fitted = *at, .weights = array_new(0, sizeof(double)), .loss_sd_ln = LOSS_SD_LN};
    bool room = peaked_field_new(data, &made->mean);
    sf_status status = made->weights && room ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = green_functions_make(data, matrix, length_mm, &made->green);
    if (status == SF_OK)
        status = gaussian_of(data, &made->green, &made->under);
    if (status == SF_OK)
        status = gaussian_set(&made->under, data, &made->green, at);
    if (status == SF_OK)
        status = unlisted_start(seek, &made->green, &made->found);
    if (status == SF_OK) {
        set_unlisted(&made->found, at->strength_k_mm2);
        status = length_fit_set_mean(data, matrix, made);
    }
    return status;
}

/* A first look, with losses that do not yet know the rise, settles the hyperparameters. */
static sf_status expect_hyperparameters(fit_data *data, balance *matrix, const candidates *seek,
                                        double *heat_sd_ln)
{
    green_functions green;
    length_fit first = {0};
    for (size_t node = 0; node < data->laid->nodes; node++)
        data->loss[node] = 1;
    sf_status status = green_functions_make(data, matrix, data->built.length_mm, &green);
    if (status == SF_OK) {
        set_hyperparameters(data, &green, heat_sd_ln);
        hyperparameters median = hyperparameters_prior(data);
        status = expect_at(data, matrix, data->built.length_mm, &median, seek, &first);
    }
    if (status == SF_OK)
        fit_data_take_field(data, &first.mean, 0);
    length_fit_clear(&first);
    green_functions_clear(&green);
    return status;
}

sf_status length_average_expect(fit_data *data, balance *matrix, const candidates *seek,
                                length_average *averaged)
{
    double heat_sd_ln;
    *averaged = (length_average){0};
    sf_status status = expect_hyperparameters(data, matrix, seek, &heat_sd_ln);
    for (size_t i = 0; status == SF_OK && i < LENGTHS_MOST; i++) {
        const struct sigma_point *point = &sigma_points[i];
        double length_mm = data->built.length_mm * exp(point->length_sd * LENGTH_SD_LN);
        hyperparameters at = hyperparameters_prior(data);
        at.strength_k_mm2 *= exp(point->heat_sd * heat_sd_ln);
        at.loss_w_m2k *= exp(-point->heat_sd * LOSS_SD_LN);
        status = expect_at(data, matrix, length_mm, &at, seek, &averaged->fits[i]);
        averaged->weights[i] = point->weight;
        averaged->count++;
    }
    return status;
}
