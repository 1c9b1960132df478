/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Fits at spreading lengths, their posterior weights and means. */
#include "field/lengths.h"

#include <math.h>

#include "core/parallel.h"

typedef struct own_fit {
    const balance *pattern;
    sf_status (*fit)(void *task, balance *matrix);
    void *task;
} own_fit;

static sf_status fit_one(void *given)
{
    const own_fit *of = given;
    balance *matrix = NULL;
    sf_status status = balance_like(of->pattern, &matrix);
    if (status == SF_OK)
        status = of->fit(of->task, matrix);
    balance_free(matrix);
    return status;
}

sf_status lengths_fit(const balance *pattern, sf_status (*fit)(void *task, balance *matrix),
                      void *tasks, size_t count, size_t size)
{
    own_fit fits[LENGTHS_MOST];
    for (size_t i = 0; i < count; i++)
        fits[i] = (own_fit){pattern, fit, (char *)tasks + i * size};
    return parallel_for(fit_one, fits, count, sizeof *fits);
}

size_t lengths_weigh(const double *log_posteriors, size_t count, double *weights)
{
    size_t best = 0;
    double sum = 0;
    for (size_t i = 1; i < count; i++)
        if (log_posteriors[i] > log_posteriors[best])
            best = i;
    for (size_t i = 0; i < count; i++)
        sum += weights[i] = exp(log_posteriors[i] - log_posteriors[best]);
    for (size_t i = 0; i < count; i++)
        weights[i] /= sum;
    return best;
}

void lengths_average(const fit_data *data, const peaked_field *fields, const double *weights,
                     size_t count, const peaked_field *mean, double *spread_k2)
{
    for (size_t node = 0; node < data->laid->nodes; node++) {
        double sum_k = 0, square_k2 = 0, plain_k = 0;
        for (size_t i = 0; i < count; i++)
            sum_k += weights[i] * fields[i].rise_k[node];
        for (size_t i = 0; i < count; i++)
            plain_k += weights[i] * fields[i].plain_k[node];
        for (size_t i = 0; i < count; i++) {
            double off_k = fields[i].rise_k[node] - sum_k;
            square_k2 += weights[i] * off_k * off_k;
        }
        mean->rise_k[node] = sum_k;
        mean->plain_k[node] = plain_k;
        if (spread_k2)
            spread_k2[node] += square_k2;
    }
    for (size_t j = 0; j < data->input->source_count; j++) {
        double sum_k = 0;
        for (size_t i = 0; i < count; i++)
            sum_k += weights[i] * fields[i].peak_k[j];
        mean->peak_k[j] = sum_k;
    }
}
