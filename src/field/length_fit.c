/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Maximum posterior of the hyperparameters by Nelder-Mead simplex search, in turn with the
 * variational search for sources.
 */
#include "field/length_fit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/discrepancy.h"
#include "field/simplex.h"

#define SIMPLEX_SIZE 0.03
#define SIMPLEX_SIZE_COARSE 0.1 /* where the search goes on, or only a score hangs on it */
#define SEEK_ROUNDS 2           /* sources and hyperparameters in turn */
#define HOPELESS 1e12
#define NOISE_STEP 6.0 /* between the starts of the noise */

typedef struct target {
    const fit_data *data;
    length_fit *fit;
    double *residual, *work;
    bool seeking;
} target;

/* Log of the bound of the evidence times the prior of the hyperparameters. */
static double log_bound(target *at, const hyperparameters *trial)
{
    gaussian *under = &at->fit->under;
    if (gaussian_set(under, at->data, &at->fit->green, trial) != SF_OK)
        return -HOPELESS;
    double sum = hyperparameters_log_prior(at->data, trial);
    memset(at->work, 0, under->readings * sizeof(double));
    if (at->seeking) {
        gaussian_invert(under);
        unlisted_mean_at(&at->fit->found, at->work);
        sum += at->fit->found.bound - unlisted_doubt(&at->fit->found, under);
    }
    for (size_t i = 0; i < under->readings; i++)
        at->residual[i] = at->data->rise_k[i] - under->expected[i] - at->work[i];
    sum += gaussian_log_density(under, at->residual, at->work);
    return isfinite(sum) ? sum : -HOPELESS;
}

static double minus_log_bound(const gsl_vector *logs, void *parameters)
{
    hyperparameters trial = hyperparameters_from_logs(logs->data);
    return -log_bound(parameters, &trial);
}

static sf_status maximise(target *at, double size)
{
    double logs[HYPERPARAMETER_COUNT];
    hyperparameters_to_logs(&at->fit->fitted, logs);
    sf_status status = simplex_minimise(minus_log_bound, at, logs, HYPERPARAMETER_COUNT, size);
    if (status != SF_OK)
        return status;
    at->fit->fitted = hyperparameters_from_logs(logs);
    at->fit->log_posterior = log_bound(at, &at->fit->fitted);
    return at->fit->log_posterior <= -HOPELESS ? SF_ERROR_NUMERIC : SF_OK;
}

/* Cells of a thermogram leave two ways open, that they are sure or that they scatter, and a search
 * ends in the nearer one: it begins at several, and the likeliest end counts. */
static sf_status maximise_from_several(target *at)
{
    static const double steps[] = {1, NOISE_STEP, 1 / NOISE_STEP};
    size_t starts = at->data->readings > at->data->spots ? sizeof steps / sizeof *steps : 1;
    hyperparameters start = at->fit->fitted, best = start;
    double most = -INFINITY;
    sf_status status = SF_OK;
    for (size_t i = 0; i < starts && status == SF_OK; i++) {
        at->fit->fitted = start;
        at->fit->fitted.noise *= steps[i];
        status = maximise(at, SIMPLEX_SIZE_COARSE);
        if (status == SF_OK && at->fit->log_posterior > most) {
            most = at->fit->log_posterior;
            best = at->fit->fitted;
        }
    }
    at->fit->fitted = best;
    log_bound(at, &best);
    return status;
}

/* Doubt of ln loss from the curvature of the bound along it. */
static double loss_doubt(target *at)
{
    double step = 0.1, values[3];
    for (int i = 0; i < 3; i++) {
        hyperparameters trial = at->fit->fitted;
        trial.loss_w_m2k *= exp((i - 1) * step);
        values[i] = log_bound(at, &trial);
    }
    double curvature = (2 * values[1] - values[0] - values[2]) / (step * step);
    return curvature > 0 ? fmin(1 / sqrt(curvature), LOSS_SD_LN) : LOSS_SD_LN;
}

static sf_status seek_once(target *at)
{
    length_fit *fit = at->fit;
    gaussian_invert(&fit->under);
    at->seeking = true;
    return unlisted_update(&fit->found, &fit->under, at->data->rise_k, fit->fitted.strength_k_mm2);
}

/* Sources first, under the prior's hyperparameters of what is spread everywhere: fitted without
 * sources, it would pass for them. Then hyperparameters and sources in turn. */
static sf_status alternate(target *at)
{
    length_fit *fit = at->fit;
    hyperparameters prior = hyperparameters_prior(at->data);
    fit->fitted.white_k = prior.white_k;
    fit->fitted.copper = prior.copper;
    fit->fitted.off_share = prior.off_share;
    fit->fitted.off_mm = prior.off_mm;
    fit->fitted.noise = prior.noise;
    sf_status status = gaussian_set(&fit->under, at->data, &fit->green, &fit->fitted);
    if (status == SF_OK)
        status = seek_once(at);
    for (int round = 0; status == SF_OK && round < SEEK_ROUNDS; round++) {
        status = round == 0 ? maximise_from_several(at) : maximise(at, SIMPLEX_SIZE);
        if (status == SF_OK)
            status = seek_once(at);
    }
    return status;
}

static sf_status fit_hyperparameters(target *at, const candidates *seek)
{
    length_fit *fit = at->fit;
    sf_status status = seek ? unlisted_start(seek, &fit->green, &fit->found) : SF_OK;
    if (status == SF_OK)
        status = seek ? alternate(at) : maximise(at, SIMPLEX_SIZE);
    if (status != SF_OK)
        return status;
    fit->loss_sd_ln = loss_doubt(at);
    fit->log_posterior = log_bound(at, &fit->fitted);
    gaussian_invert(&fit->under);
    return SF_OK;
}

static sf_status hold_hyperparameters(target *at, const candidates *seek)
{
    length_fit *fit = at->fit;
    sf_status status = unlisted_start(seek, &fit->green, &fit->found);
    if (status == SF_OK)
        status = gaussian_set(&fit->under, at->data, &fit->green, &fit->fitted);
    if (status == SF_OK)
        status = seek_once(at);
    if (status == SF_OK)
        fit->log_posterior = log_bound(at, &fit->fitted);
    return status;
}

/* Mean shares of the copper that the readings make likely, as the heat that they move. */
static void add_likely_copper(const fit_data *data, const length_fit *fit, double *heat)
{
    double shares[COPPER_KNOTS_MOST] = {0}, copper = fit->fitted.copper;
    size_t knots = data->copper.knots;
    for (size_t i = 0; i < fit->green.readings; i++)
        add_times(shares, fit->green.copper_at + i * knots, fit->weights[i], knots);
    copper_add_heat(&data->copper, fit->green.length_mm, shares, copper * copper, heat);
}

/* Mean heat at every node that the readings make likely, besides background and listed sources. */
static void add_likely_heat(const fit_data *data, const length_fit *fit, double *heat)
{
    const green_functions *green = &fit->green;
    for (size_t i = 0; i < green->readings; i++)
        for (size_t node = 0; node < green->nodes; node++)
            heat[node] += fit->weights[i] * green->adjoint[i * green->nodes + node];
    for (size_t node = 0; node < green->nodes; node++)
        heat[node] *= heat_variance(data, green, &fit->fitted, node);
    add_likely_copper(data, fit, heat);
    for (int k = 0; fit->found.from && k < EFFECT_COUNT; k++)
        for (size_t c = 0; c < fit->found.from->count; c++) {
            const footprint *cover = &fit->found.from->covers[c];
            double density =
                fit->found.effects[k].share[c] * fit->found.effects[k].mean[c] / cover->area_mm2;
            for (size_t s = 0; s < cover->count; s++)
                heat[cover->shares[s].node] += density * cover->shares[s].share;
        }
}

sf_status length_fit_set_mean(const fit_data *data, balance *matrix, length_fit *fit)
{
    const green_functions *green = &fit->green;
    sf_status status;
    double *rise_k = fit->mean.rise_k;
    add_likely_heat(data, fit, rise_k);
    if ((status = balance_solve(matrix, rise_k, rise_k, 1)) != SF_OK)
        return status;
    double background =
        data->background_k + data->background_k * data->background_k *
                                 dot(green->uniform_at, fit->weights, green->readings);
    double *plain_k = fit->mean.plain_k;
    for (size_t node = 0; node < green->nodes; node++)
        plain_k[node] = background * green->uniform[node];
    for (size_t j = 0; j < green->sources; j++) {
        double pull = 0, sd = fit->under.strength_sd[j];
        for (size_t i = 0; i < green->readings; i++)
            pull += green->source_at[i * green->sources + j] * fit->weights[i];
        double strength = fit->under.strength_mean[j] + sd * sd * pull;
        for (size_t node = 0; node < green->nodes; node++)
            plain_k[node] += strength * green->fields[j * green->nodes + node];
        fit->mean.peak_k[j] = strength / (green->length_mm * green->length_mm);
    }
    add_times(rise_k, plain_k, 1, green->nodes);
    for (size_t i = 0; i < green->readings; i++)
        discrepancy_add(data, &fit->fitted, i, fit->weights[i], rise_k);
    return SF_OK;
}

/* Log prior of a length, up to a constant. */
static double length_log_prior(const fit_data *data, double length_mm)
{
    double off = log(length_mm / data->built.length_mm) / LENGTH_SD_LN;
    return -off * off / 2;
}

/* All but the hyperparameters comes with *made. */
static sf_status make(const fit_data *data, balance *matrix, double length_mm,
                      const candidates *seek, length_fit *made)
{
    size_t readings = data->readings;
    made->weights = array_new(readings, sizeof(double));
    bool room = peaked_field_new(data, &made->mean);
    target at = {data, made, array_new(readings, sizeof(double)),
                 array_new(readings, sizeof(double)), false};
    sf_status status = made->weights && room && at.residual && at.work ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = green_functions_make(data, matrix, length_mm, &made->green);
    if (status == SF_OK)
        status = gaussian_of(data, &made->green, &made->under);
    if (status == SF_OK)
        status = made->held ? hold_hyperparameters(&at, seek) : fit_hyperparameters(&at, seek);
    if (status == SF_OK) {
        made->log_posterior += length_log_prior(data, length_mm);
        for (size_t i = 0; i < readings; i++)
            made->weights[i] = dot(made->under.inverse + i * readings, at.residual, readings);
        status = length_fit_set_mean(data, matrix, made);
    }
    free(at.residual);
    free(at.work);
    return status;
}

sf_status length_fit_make(const fit_data *data, balance *matrix, double length_mm,
                          const hyperparameters *start, const candidates *seek, length_fit *made)
{
    *made = (length_fit){.fitted = *start};
    return make(data, matrix, length_mm, seek, made);
}

sf_status length_fit_hold(const fit_data *data, balance *matrix, const length_fit *learnt,
                          const candidates *seek, length_fit *made)
{
    *made = (length_fit){.fitted = learnt->fitted, .loss_sd_ln = learnt->loss_sd_ln, .held = true};
    return make(data, matrix, learnt->green.length_mm, seek, made);
}

void length_fit_clear(length_fit *made)
{
    green_functions_clear(&made->green);
    gaussian_clear(&made->under);
    unlisted_clear(&made->found);
    free(made->weights);
    peaked_field_clear(&made->mean);
    *made = (length_fit){0};
}

/* Fits hyperparameters anew at a fit's length, with its found sources or without any. */
static sf_status refit(const fit_data *data, const length_fit *fit, bool seeking,
                       hyperparameters *fitted, double *log_evidence)
{
    length_fit trial = {.green = fit->green, .found = fit->found, .fitted = fit->fitted};
    target at = {data, &trial, array_new(data->readings, sizeof(double)),
                 array_new(data->readings, sizeof(double)), seeking};
    sf_status status = gaussian_of(data, &fit->green, &trial.under);
    if (!at.residual || !at.work)
        status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = maximise(&at, SIMPLEX_SIZE_COARSE);
    if (status == SF_OK) {
        *fitted = trial.fitted;
        *log_evidence = trial.log_posterior + length_log_prior(data, fit->green.length_mm);
    }
    gaussian_clear(&trial.under);
    free(at.residual);
    free(at.work);
    return status;
}

sf_status length_fit_alone(const fit_data *data, const length_fit *fit, double *log_evidence)
{
    hyperparameters unused;
    return refit(data, fit, false, &unused, log_evidence);
}

sf_status length_fit_hyperparameters_without(const fit_data *data, const length_fit *fit,
                                             size_t reading, hyperparameters *fitted)
{
    double unused;
    fit_data without = *data;
    *fitted = fit->fitted;
    if (fit->held)
        return SF_OK;
    without.position_k2 = array_new(data->readings, sizeof(double));
    if (!without.position_k2)
        return SF_ERROR_MEMORY;
    memcpy(without.position_k2, data->position_k2, data->readings * sizeof(double));
    without.position_k2[reading] = UNREAD_K2;
    sf_status status = refit(&without, fit, fit->found.from != NULL, fitted, &unused);
    free(without.position_k2);
    return status;
}
