/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Many slips can be told from few readings: a rough look at all, hyperparameters fitted anew for
 * the best.
 */
#include "field/slip_trials.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/parallel.h"

#define TRIED_EACH 8 /* under each of two sets of hyperparameters */
#define TRIED_MOST (2 * TRIED_EACH)

/* The reading of an observation that is in the fit; data->readings for any other. */
static size_t reading_of(const fit_data *data, size_t observation)
{
    size_t reading = 0;
    const sf_field_input *input = data->input;
    if (observation >= input->observation_count || !input->observations[observation].in_fit)
        return data->readings;
    for (size_t i = 0; i < observation; i++)
        reading += input->observations[i].in_fit;
    return reading;
}

/* Data of the same arrays, but what was read, which of it is believed, and sources that all
 * may give heat: one that gave none may have been barred for the slip. */
static sf_status copy_readings(const fit_data *data, fit_data *made)
{
    size_t bytes = data->readings * sizeof(double);
    *made = *data;
    made->rise_k = array_new(data->readings, sizeof(double));
    made->gross_k2 = array_new(data->readings, sizeof(double));
    made->idle = array_new(data->input->source_count, sizeof *made->idle);
    if (!made->rise_k || !made->gross_k2 || !made->idle)
        return SF_ERROR_MEMORY;
    memcpy(made->rise_k, data->rise_k, bytes);
    memcpy(made->gross_k2, data->gross_k2, bytes);
    return SF_OK;
}

static void drop_copy(fit_data *made)
{
    free(made->rise_k);
    free(made->gross_k2);
    free(made->idle);
}

/* What a slip changes of the log density, from the inverse covariance and its product with the
 * residual. */
static double rough_gain(const fit_data *data, const gaussian *plain, const double *pulls,
                         const sf_slip *slip)
{
    size_t count = data->readings, reading[2];
    double by_k[2] = {0, 0}, gain = slip->log_factor;
    for (int k = 0; k < 2; k++) {
        reading[k] = reading_of(data, slip->observation[k]);
        if (reading[k] < count && !(k == 1 && reading[1] == reading[0]))
            by_k[k] = slip->rise_k[k] - data->rise_k[reading[k]];
        else
            reading[k] = 0; /* nothing of it changes */
    }
    for (int k = 0; k < 2; k++) {
        gain -= by_k[k] * pulls[reading[k]];
        for (int l = 0; l < 2; l++)
            gain -= by_k[k] * by_k[l] * plain->inverse[reading[k] * count + reading[l]] / 2;
    }
    return by_k[0] != 0 || by_k[1] != 0 ? gain : -INFINITY;
}

/* Gains under hyperparameters as they are, from the inverse covariance; every reading is believed.
 */
static sf_status look_roughly(const fit_data *data, const length_fit *fit,
                              const hyperparameters *at, double *rough)
{
    const sf_field_input *input = data->input;
    fit_data believed;
    gaussian plain = {0};
    size_t count = data->readings;
    double *pulls = array_new(count, sizeof *pulls), *residual = array_new(count, sizeof *residual);
    sf_status status = copy_readings(data, &believed);
    if (!pulls || !residual)
        status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = gaussian_of(&believed, &fit->green, &plain);
    if (status == SF_OK) {
        memset(believed.gross_k2, 0, count * sizeof(double));
        status = gaussian_set(&plain, &believed, &fit->green, at);
    }
    if (status == SF_OK)
        gaussian_invert(&plain);
    for (size_t i = 0; status == SF_OK && i < count; i++)
        residual[i] = data->rise_k[i] - plain.expected[i];
    for (size_t i = 0; status == SF_OK && i < count; i++)
        pulls[i] = dot(plain.inverse + i * count, residual, count);
    for (size_t s = 0; status == SF_OK && s < input->slip_count; s++)
        rough[s] = rough_gain(data, &plain, pulls, &input->slips[s]);
    gaussian_clear(&plain);
    drop_copy(&believed);
    free(pulls);
    free(residual);
    return status;
}

/* One slip to be fitted. */
typedef struct trial {
    const fit_data *data;
    const length_fit *fit;
    const sf_slip *slip; /* NULL: the readings as they are */
    double evidence;
} trial;

static sf_status try_one(void *task)
{
    trial *of = task;
    fit_data meant;
    sf_status status = copy_readings(of->data, &meant);
    for (int k = 0; status == SF_OK && of->slip && k < 2; k++) {
        size_t reading = reading_of(of->data, of->slip->observation[k]);
        if (reading == of->data->readings)
            continue;
        meant.rise_k[reading] = of->slip->rise_k[k];
        meant.gross_k2[reading] = 0;
    }
    if (status == SF_OK)
        status = length_fit_alone(&meant, of->fit, &of->evidence);
    drop_copy(&meant);
    if (status == SF_ERROR_NUMERIC)
        of->evidence = -INFINITY;
    return status == SF_ERROR_NUMERIC ? SF_OK : status;
}

/* The likeliest that is not among the tasks yet; slip_count where none is left. */
static size_t next_likely(const sf_field_input *input, const double *rough, const trial *tasks,
                          size_t taken)
{
    size_t best = input->slip_count;
    for (size_t s = 0; s < input->slip_count; s++) {
        bool held = !isfinite(rough[s]);
        for (size_t k = 0; k < taken; k++)
            held = held || tasks[k].slip == &input->slips[s];
        if (!held && (best == input->slip_count || rough[s] > rough[best]))
            best = s;
    }
    return best;
}

sf_status slips_weigh(const fit_data *data, const length_fit *fit, double *gains)
{
    const sf_field_input *input = data->input;
    trial tasks[TRIED_MOST + 1] = {{data, fit, NULL, 0}};
    const hyperparameters prior = hyperparameters_prior(data), *const under[2] = {&fit->fitted,
                                                                                  &prior};
    size_t taken = 1;
    double *rough = array_new(input->slip_count, sizeof *rough);
    sf_status status = rough ? SF_OK : SF_ERROR_MEMORY;
    for (int set = 0; status == SF_OK && set < 2; set++) {
        status = look_roughly(data, fit, under[set], rough);
        for (int k = 0; status == SF_OK && k < TRIED_EACH; k++) {
            size_t best = next_likely(input, rough, tasks, taken);
            if (best < input->slip_count)
                tasks[taken++] = (trial){data, fit, &input->slips[best], 0};
        }
    }
    if (status == SF_OK)
        status = parallel_for(try_one, tasks, taken, sizeof *tasks);
    for (size_t k = 1; status == SF_OK && k < taken; k++)
        gains[tasks[k].slip - input->slips] = tasks[k].evidence + tasks[k].slip->log_factor -
                                              fmax(tasks[0].evidence, fit->log_posterior);
    free(rough);
    return status;
}
