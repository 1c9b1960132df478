/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The field at several places taken together: its making, and what dense and sparse fits fill
 * alike.
 */
#include <stdlib.h>

#include "core/memory.h"
#include "field/can_share.h"
#include "field/joint.h"

sf_joint_rise *joint_new(size_t count)
{
    sf_joint_rise *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
    made->count = count;
    made->rise_k = array_new(count, sizeof(double));
    made->covariance_k2 = array_new(count * count, sizeof(double));
    made->slope_k_mm = array_new(count, sizeof(double));
    made->common_k = array_new(count * SF_COMMON_COUNT, sizeof(double));
    made->common_between = array_new((size_t)SF_COMMON_COUNT * SF_COMMON_COUNT, sizeof(double));
    if (made->rise_k && made->covariance_k2 && made->slope_k_mm && made->common_k &&
        made->common_between)
        return made;
    sf_joint_rise_free(made);
    return NULL;
}

void sf_joint_rise_free(sf_joint_rise *joint)
{
    if (!joint)
        return;
    free(joint->rise_k);
    free(joint->covariance_k2);
    free(joint->slope_k_mm);
    free(joint->common_k);
    free(joint->common_between);
    free(joint);
}

void joint_set_means(const fit_data *data, const model_result *result, grid_sample *samples)
{
    sf_joint_rise *joint = result->joint;
    for (size_t p = 0; p < joint->count; p++) {
        const sf_place *place = &result->places[p];
        samples[p] = grid_sample_at(data->laid, place->x_mm, place->y_mm);
        for (size_t k = 0; place->on_can && k < samples[p].count; k++)
            samples[p].weights[k] *= CAN_SHARE;
        joint->rise_k[p] = place->on_can ? result->cans[place->can].value
                                         : field_at(data, &result->mean, place->x_mm, place->y_mm);
        joint->slope_k_mm[p] = field_slope_k_mm(data, &result->mean, place->x_mm, place->y_mm);
    }
}

void joint_add_spread(const fit_data *data, const model_result *result, const peaked_field *field,
                      double weight, double *work)
{
    sf_joint_rise *joint = result->joint;
    for (size_t p = 0; p < joint->count; p++) {
        const sf_place *place = &result->places[p];
        double apart_k = field_at(data, field, place->x_mm, place->y_mm) -
                         field_at(data, &result->mean, place->x_mm, place->y_mm);
        work[p] = place->on_can ? CAN_SHARE * apart_k : apart_k;
    }
    for (size_t p = 0; p < joint->count; p++)
        for (size_t q = 0; q < joint->count; q++)
            joint->covariance_k2[p * joint->count + q] += weight * work[p] * work[q];
}
