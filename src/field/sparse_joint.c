/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Covariance between places: P'(Q^-1 + J S^-1 J')P, P the samples of the places and J what the
 * unknowns add to the field beyond what the readings take back. */
#include "field/sparse_joint.h"

#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/joint.h"

#define BLOCK 32 /* places solved at once */

static sf_status add_heat(sparse_fit *fit, const grid_sample *samples, double *block,
                          sf_joint_rise *joint)
{
    sf_status status = SF_OK;
    size_t nodes = fit->green.nodes, places = joint->count;
    for (size_t first = 0; status == SF_OK && first < places; first += BLOCK) {
        size_t count = places - first < BLOCK ? places - first : BLOCK;
        memset(block, 0, count * nodes * sizeof *block);
        for (size_t p = 0; p < count; p++)
            for (size_t k = 0; k < samples[first + p].count; k++)
                block[p * nodes + (size_t)samples[first + p].nodes[k]] =
                    samples[first + p].weights[k];
        status = precision_solve(fit->seen, block, block, count);
        for (size_t p = 0; status == SF_OK && p < count; p++)
            for (size_t q = 0; q < places; q++)
                joint->covariance_k2[(first + p) * places + q] =
                    sample_value(&samples[q], block + p * nodes);
    }
    return status;
}

/* Cans have what all of them share, and something of their own. */
static sf_status add_cans(const sparse_fit *fit, const fit_data *data, const model_result *result,
                          const grid_sample *samples, double *rows)
{
    size_t count = fit->unknowns.count, places = result->joint->count;
    double *columns = array_new(CANS_SHARED * count, sizeof *columns);
    if (!columns)
        return SF_ERROR_MEMORY;
    sparse_cans(fit, columns);
    for (size_t p = 0; p < places; p++) {
        double *independent_k2 = &result->joint->covariance_k2[p * places + p];
        *independent_k2 += sample_value(&samples[p], fit->off_k2);
        if (!result->places[p].on_can)
            continue;
        double rise_k = sample_value(&samples[p], data->rise_guess_k) / CAN_SHARE;
        for (size_t k = 0; k < CANS_SHARED; k++)
            add_times(rows + p * count, columns + k * count, can_load_k(k, rise_k, data->cool_k),
                      count);
        *independent_k2 += can_scatter_k2(rise_k);
    }
    free(columns);
    return SF_OK;
}

static sf_status add_unknowns(const fit_data *data, const sparse_fit *fit,
                              const grid_sample *samples, const model_result *result)
{
    sf_joint_rise *joint = result->joint;
    size_t count = fit->unknowns.count, places = joint->count;
    double *rows = array_new(places * count, sizeof *rows);
    double *common = array_new(SF_COMMON_COUNT * count, sizeof *common);
    if (!rows || !common) {
        free(rows);
        free(common);
        return SF_ERROR_MEMORY;
    }
    for (size_t p = 0; p < places; p++)
        sparse_unknown_row(data, fit, &samples[p],
                           (sf_point){result->places[p].x_mm, result->places[p].y_mm},
                           rows + p * count);
    sf_status status = add_cans(fit, data, result, samples, rows);
    for (size_t k = 0; status == SF_OK && k < SF_COMMON_COUNT; k++)
        sparse_common(fit, k, common + k * count);
    for (size_t k = 0; k < SF_COMMON_COUNT; k++) {
        for (size_t j = 0; j < SF_COMMON_COUNT; j++)
            joint->common_between[k * SF_COMMON_COUNT + j] =
                dot(common + k * count, common + j * count, count);
        for (size_t p = 0; p < places; p++)
            joint->common_k[p * SF_COMMON_COUNT + k] =
                dot(rows + p * count, common + k * count, count);
    }
    for (size_t p = 0; p < places; p++)
        for (size_t q = 0; q <= p; q++) {
            double *one = &joint->covariance_k2[p * places + q];
            double *other = &joint->covariance_k2[q * places + p];
            *one = *other = (*one + *other) / 2 + dot(rows + p * count, rows + q * count, count);
        }
    free(rows);
    free(common);
    return status;
}

sf_status sparse_joint_fill(const fit_data *data, sparse_fit *fits, const double *weights,
                            size_t count, size_t best, const model_result *result)
{
    sf_joint_rise *joint = result->joint;
    grid_sample *samples = array_new(joint->count, sizeof *samples);
    double *block = array_new(BLOCK * data->laid->nodes, sizeof *block);
    double *off = array_new(joint->count, sizeof *off);
    sf_status status = samples && block && off ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        joint_set_means(data, result, samples);
        status = add_heat(&fits[best], samples, block, joint);
    }
    if (status == SF_OK)
        status = add_unknowns(data, &fits[best], samples, result);
    for (size_t i = 0; status == SF_OK && i < count; i++)
        joint_add_spread(data, result, &fits[i].mean, weights[i], off);
    free(samples);
    free(block);
    free(off);
    return status;
}
