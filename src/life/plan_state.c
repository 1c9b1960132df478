/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Conditioning of a Gaussian on one reading after another. */
#include "life/plan_state.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

static double *row_of(const plan_state *of, size_t index)
{
    return of->covariance + index * of->count;
}

sf_status plan_state_make(const sf_joint_rise *joint, plan_state *made)
{
    size_t places = joint->count, count = places + SF_COMMON_COUNT;
    *made = (plan_state){.places = places,
                         .count = count,
                         .covariance = array_new(count * count, sizeof(double)),
                         .column = array_new(count, sizeof(double))};
    if (!made->covariance || !made->column)
        return SF_ERROR_MEMORY;
    for (size_t p = 0; p < places; p++) {
        memcpy(row_of(made, p), joint->covariance_k2 + p * places, places * sizeof(double));
        for (size_t k = 0; k < SF_COMMON_COUNT; k++)
            row_of(made, p)[places + k] = row_of(made, places + k)[p] =
                joint->common_k[p * SF_COMMON_COUNT + k];
    }
    for (size_t k = 0; k < SF_COMMON_COUNT; k++)
        memcpy(row_of(made, places + k) + places, joint->common_between + k * SF_COMMON_COUNT,
               SF_COMMON_COUNT * sizeof(double));
    return SF_OK;
}

void plan_state_clear(plan_state *made)
{
    free(made->covariance);
    free(made->column);
    *made = (plan_state){0};
}

void plan_state_widen(plan_state *of, size_t place, double variance_k2)
{
    row_of(of, place)[place] += variance_k2;
}

double plan_state_variance_k2(const plan_state *of, size_t place)
{
    return fmax(row_of(of, place)[place], 0);
}

double plan_state_told_k2(const plan_state *of, size_t place, const plan_reading *reading)
{
    const double *row = row_of(of, place);
    double sum_k2 = row[reading->place];
    for (size_t k = 0; k < SF_COMMON_COUNT; k++)
        sum_k2 += reading->common_k[k] * row[of->places + k];
    return sum_k2;
}

double plan_state_shown_k2(const plan_state *of, const plan_reading *reading)
{
    double sum_k2 = plan_state_told_k2(of, reading->place, reading) + reading->independent_k2;
    for (size_t k = 0; k < SF_COMMON_COUNT; k++)
        sum_k2 += reading->common_k[k] * plan_state_told_k2(of, of->places + k, reading);
    return sum_k2;
}

void plan_state_take(plan_state *of, const plan_reading *reading)
{
    double shown_k2 = plan_state_shown_k2(of, reading);
    for (size_t i = 0; i < of->count; i++)
        of->column[i] = plan_state_told_k2(of, i, reading);
    for (size_t i = 0; i < of->count; i++) {
        double factor = of->column[i] / shown_k2;
        double *row = row_of(of, i);
        for (size_t j = 0; j < of->count; j++)
            row[j] -= factor * of->column[j];
    }
}
