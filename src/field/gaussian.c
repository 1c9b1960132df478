/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Gaussian-process regression: priors, covariance and likelihood of the readings at one spreading
 * length (C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, from
 * memory). */
#include "field/gaussian.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/can_share.h"
#include "field/discrepancy.h"

/* Medians and log-normal doubts of the hyperparameters. Judgements, held against invented boards by
 * tests/benchmark: losses that vary from place to place change the field by some 1.5 % of the rise,
 * copper conducts a quarter more or less within some centimetres, more or less as the readings
 * tell; what is left for heat everywhere is a tenth of a kelvin. */
#define WHITE_K 0.4
#define WHITE_SD_LN 1.0
#define PATCH 0.015
#define COPPER 0.25
#define COPPER_SD_LN 0.7
#define NOISE_SD_LN 0.3
#define OFF_SHARE 0.15
#define SLIP_SHARE 0.2 /* of a typical source, that listed watts are off besides */
#define OFF_SHARE_SD_LN 0.6
#define OFF_MM 20.0
#define OFF_MM_SD_LN 0.3
#define K_MM2_PER_W 1e6 /* of a watt at a loss of 1 W/m2K */
/* The share of what a body gives off that enters the board, by how it is mounted, and its standard
 * deviation. From simulated boards with bodies and air. */
static const struct mount_share {
    double mean, sd;
} mount_shares[SF_MOUNT_COUNT] = {
    [SF_MOUNT_UNKNOWN] = {0.55, 0.25}, [SF_MOUNT_FLAT] = {0.75, 0.12},
    [SF_MOUNT_STANDING] = {0.5, 0.15}, [SF_MOUNT_HEAT_SINK] = {0.2, 0.12},
    [SF_MOUNT_WOUND] = {0.35, 0.15},
};

hyperparameters hyperparameters_prior(const fit_data *data)
{
    return (hyperparameters){.white_k = WHITE_K,
                             .copper = COPPER,
                             .noise = 1,
                             .strength_k_mm2 = data->strength_k_mm2,
                             .loss_w_m2k = data->built.loss_w_m2k,
                             .off_share = OFF_SHARE,
                             .off_mm = OFF_MM,
                             .patch = PATCH};
}

void hyperparameters_to_logs(const hyperparameters *from, double logs[HYPERPARAMETER_COUNT])
{
    logs[0] = log(from->white_k);
    logs[1] = log(from->copper);
    logs[2] = log(from->noise);
    logs[3] = log(from->strength_k_mm2);
    logs[4] = log(from->loss_w_m2k);
    logs[5] = log(from->off_share);
    logs[6] = log(from->off_mm);
}

hyperparameters hyperparameters_from_logs(const double logs[HYPERPARAMETER_COUNT])
{
    return (hyperparameters){.white_k = exp(logs[0]),
                             .copper = exp(logs[1]),
                             .noise = exp(logs[2]),
                             .strength_k_mm2 = exp(logs[3]),
                             .loss_w_m2k = exp(logs[4]),
                             .off_share = exp(logs[5]),
                             .off_mm = exp(logs[6]),
                             .patch = PATCH};
}

double hyperparameters_log_prior(const fit_data *data, const hyperparameters *at)
{
    static const double sd_ln[HYPERPARAMETER_COUNT] = {
        WHITE_SD_LN, COPPER_SD_LN,    NOISE_SD_LN, STRENGTH_SD_LN,
        LOSS_SD_LN,  OFF_SHARE_SD_LN, OFF_MM_SD_LN};
    hyperparameters median = hyperparameters_prior(data);
    double logs[HYPERPARAMETER_COUNT], medians[HYPERPARAMETER_COUNT], sum = 0;
    hyperparameters_to_logs(at, logs);
    hyperparameters_to_logs(&median, medians);
    for (int i = 0; i < HYPERPARAMETER_COUNT; i++)
        sum -= pow((logs[i] - medians[i]) / sd_ln[i], 2) / 2;
    return sum;
}

double heat_variance(const fit_data *data, const green_functions *green, const hyperparameters *at,
                     size_t node)
{
    double patch_k = at->patch * data->rise_guess_k[node];
    return green->node_variance * (at->white_k * at->white_k + patch_k * patch_k);
}

double reading_variance_k2(const fit_data *data, const hyperparameters *at, size_t reading)
{
    return at->noise * at->noise * data->variance_k2[reading] + data->position_k2[reading] +
           data->gross_k2[reading];
}

/* A reading that has lost its weight is still judged as one that is sound. */
sf_estimate leave_one_out(const fit_data *data, size_t reading, double pull, double precision)
{
    double gross_k2 = data->gross_k2[reading], sound_k2 = 1 / precision;
    if (gross_k2 > 0)
        sound_k2 = fmax(sound_k2 - gross_k2, data->variance_k2[reading]);
    return (sf_estimate){data->rise_k[reading] - pull / precision, sqrt(sound_k2)};
}

sf_status gaussian_new(size_t readings, size_t sources, gaussian *made)
{
    *made = (gaussian){
        .readings = readings,
        .sources = sources,
        .strength_mean = array_new(sources, sizeof(double)),
        .strength_sd = array_new(sources, sizeof(double)),
        .scale_k = array_new(readings, sizeof(double)),
        .fixed = array_new(readings * readings, sizeof(double)),
        .alike = array_new(readings * readings, sizeof(double)),
        .listed = array_new(readings * readings, sizeof(double)),
        .expected = array_new(readings, sizeof(double)),
        .covariance = array_new(readings * readings, sizeof(double)),
        .cholesky = array_new(readings * readings, sizeof(double)),
        .below = array_new(readings * readings, sizeof(double)),
        .inverse = array_new(readings * readings, sizeof(double)),
    };
    bool whole = made->strength_mean && made->strength_sd && made->scale_k && made->fixed &&
                 made->alike && made->listed && made->expected && made->covariance &&
                 made->cholesky && made->below && made->inverse;
    return whole ? SF_OK : SF_ERROR_MEMORY;
}

void gaussian_clear(gaussian *made)
{
    free(made->strength_mean);
    free(made->strength_sd);
    free(made->scale_k);
    free(made->fixed);
    free(made->alike);
    free(made->listed);
    free(made->expected);
    free(made->covariance);
    free(made->cholesky);
    free(made->below);
    free(made->inverse);
    *made = (gaussian){0};
}

sf_estimate listed_power_w(const sf_source *source)
{
    const struct mount_share *share = &mount_shares[source->mount];
    double own_sd_w = isfinite(source->power_sd_w) ? source->power_sd_w : 0;
    return (sf_estimate){share->mean * source->power_w,
                         hypot(share->mean * own_sd_w, share->sd * source->power_w)};
}

/* A source is one of its population, which lies midway between alike in heat and alike in rise; one
 * of known watts has their strength, but for a slip of the pen. */
static void set_strengths(gaussian *into, const fit_data *data, const green_functions *green,
                          const hyperparameters *at)
{
    double k_mm2_per_w = K_MM2_PER_W / at->loss_w_m2k;
    for (size_t j = 0; j < into->sources; j++) {
        const sf_source *source = &data->input->sources[j];
        double typical = at->strength_k_mm2 * sqrt(green->own_median / green->own[j]);
        into->strength_mean[j] = into->strength_sd[j] = typical;
        if (data->idle[j]) {
            into->strength_mean[j] = into->strength_sd[j] = 0;
        } else if (isfinite(source->power_w)) {
            sf_estimate power_w = listed_power_w(source);
            into->strength_mean[j] = power_w.value * k_mm2_per_w;
            into->strength_sd[j] = hypot(power_w.sd * k_mm2_per_w, SLIP_SHARE * typical);
        }
    }
}

/* Variance of a source's strength: what it has of the square of strength_k_mm2, and what of that of
 * a strength a watt. */
static void share_strength(const fit_data *data, const green_functions *green, size_t source,
                           double *alike, double *listed)
{
    const sf_source *of = &data->input->sources[source];
    bool known = isfinite(of->power_w);
    double typical2 = green->own_median / green->own[source], sd_w = 0;
    if (known)
        sd_w = listed_power_w(of).sd;
    *alike = data->idle[source] ? 0 : known ? SLIP_SHARE * SLIP_SHARE * typical2 : typical2;
    *listed = data->idle[source] ? 0 : sd_w * sd_w;
}

/* Sum over the sources of what two readings see of each. */
static void set_sources(gaussian *into, const fit_data *data, const green_functions *green)
{
    size_t count = into->readings, sources = into->sources;
    for (size_t j = 0; j < sources; j++) {
        double alike, listed;
        share_strength(data, green, j, &alike, &listed);
        for (size_t i = 0; i < count; i++) {
            double at = green->source_at[i * sources + j];
            for (size_t k = 0; k <= i; k++) {
                double both = at * green->source_at[k * sources + j];
                into->alike[i * count + k] += alike * both;
                into->listed[i * count + k] += listed * both;
            }
        }
    }
}

static void set_terms(gaussian *into, const fit_data *data, const green_functions *green)
{
    size_t count = into->readings;
    for (size_t i = 0; i < count; i++) {
        into->scale_k[i] = discrepancy_scale_k(data, i);
        for (size_t k = 0; k <= i; k++)
            into->fixed[i * count + k] = green->held[i * count + k] + can_between_k2(data, i, k);
    }
    set_sources(into, data, green);
}

sf_status gaussian_of(const fit_data *data, const green_functions *green, gaussian *made)
{
    sf_status status = gaussian_new(green->readings, green->sources, made);
    if (status == SF_OK)
        set_terms(made, data, green);
    return status;
}

/* What a reading has in common with those before it and with itself. */
static void set_row(const gaussian *into, const fit_data *data, const green_functions *green,
                    const hyperparameters *at, size_t i)
{
    size_t first = i * into->readings;
    const double *white = green->white + first, *patch = green->patch + first;
    const double *copper = green->copper + first, *fixed = into->fixed + first;
    const double *alike = into->alike + first, *listed = into->listed + first;
    double white_k2 = at->white_k * at->white_k, patch2 = at->patch * at->patch;
    double copper2 = at->copper * at->copper, off = at->off_share * into->scale_k[i];
    double strength2 = at->strength_k_mm2 * at->strength_k_mm2;
    double watt2 = pow(K_MM2_PER_W / at->loss_w_m2k, 2);
    double *row = into->covariance + first;
    for (size_t k = 0; k <= i; k++)
        row[k] = white_k2 * white[k] + patch2 * patch[k] + copper2 * copper[k] + fixed[k] +
                 strength2 * alike[k] + watt2 * listed[k];
    if (off > 0)
        discrepancy_add_row(green->away_mm + first, at->off_mm, into->scale_k, off * at->off_share,
                            i + 1, row);
    row[i] += reading_variance_k2(data, at, i);
}

/* What of a row stands right of column `from`, once that is known which stands left of it. What is
 * not finite comes to a diagonal. */
static sf_status factor_row(gaussian *into, size_t i, size_t from)
{
    size_t count = into->readings;
    const double *covariance = into->covariance + i * count;
    double *row = into->cholesky + i * count;
    for (size_t k = from; k < i; k++) {
        const double *other = into->cholesky + k * count;
        row[k] = (covariance[k] - dot(row, other, k)) / other[k];
    }
    double square = covariance[i] - dot(row, row, i);
    if (!(square > 0 && isfinite(square)))
        return SF_ERROR_NUMERIC;
    row[i] = sqrt(square);
    return SF_OK;
}

/* Row by row, so that all is sums of products along rows; some rows at once by what is above them.
 */
sf_status gaussian_refactor(gaussian *into)
{
    enum { ROWS = 4 };
    size_t count = into->readings;
    sf_status status = SF_OK;
    for (size_t first = 0; status == SF_OK && first < count; first += ROWS) {
        size_t rows = count - first < ROWS ? count - first : ROWS;
        double *below = into->cholesky + first * count, sums[ROWS];
        for (size_t k = 0; k < first; k++) {
            const double *other = into->cholesky + k * count;
            dots(other, below, count, rows, k, sums);
            for (size_t r = 0; r < rows; r++)
                below[r * count + k] =
                    (into->covariance[(first + r) * count + k] - sums[r]) / other[k];
        }
        for (size_t r = 0; status == SF_OK && r < rows; r++)
            status = factor_row(into, first + r, first);
    }
    return status;
}

sf_status gaussian_set(gaussian *into, const fit_data *data, const green_functions *green,
                       const hyperparameters *at)
{
    size_t count = into->readings;
    set_strengths(into, data, green, at);
    for (size_t i = 0; i < count; i++) {
        into->expected[i] =
            data->own_k[i] + data->background_k * green->uniform_at[i] +
            dot(green->source_at + i * into->sources, into->strength_mean, into->sources);
        set_row(into, data, green, at, i);
        for (size_t k = 0; k < i; k++)
            into->covariance[k * count + i] = into->covariance[i * count + k];
    }
    return gaussian_refactor(into);
}

/* L^-1 row by row, each of which then adds its square to the inverse. */
void gaussian_invert(gaussian *into)
{
    size_t count = into->readings;
    double *inverse = into->inverse;
    memset(into->below, 0, count * count * sizeof *inverse);
    memset(inverse, 0, count * count * sizeof *inverse);
    for (size_t i = 0; i < count; i++) {
        const double *factor = into->cholesky + i * count;
        double *row = into->below + i * count;
        for (size_t k = 0; k < i; k++)
            add_times(row, into->below + k * count, -factor[k] / factor[i], k + 1);
        row[i] = 1 / factor[i];
        for (size_t k = 0; k <= i; k++)
            add_times(inverse + k * count, row, row[k], k + 1);
    }
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < i; k++)
            inverse[k * count + i] = inverse[i * count + k];
}

double gaussian_log_density(const gaussian *of, const double *residual, double *work)
{
    size_t count = of->readings;
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        const double *row = of->cholesky + i * count;
        work[i] = (residual[i] - dot(row, work, i)) / row[i];
        sum -= work[i] * work[i] / 2 + log(row[i]);
    }
    return sum;
}
