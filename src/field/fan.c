/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fan would leave of the rise, in closed form: each source as a disc on an endless plate,
 * the rest as even heat. Used for what-if questions, where no reading tells. */
#include <math.h>

#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_bessel.h>

#include "field/stack_up.h"
#include "spotfield/field.h"

double sf_air_loss_w_m2k(sf_air air)
{
    sf_board board = {.thickness_mm = 1.6, .copper_layers = 1, .air = air};
    return stack_up_of(&board).loss_w_m2k;
}

/* K and I are scaled by e^x and e^-x, so that far places neither overflow nor lose their digits. */
static double product_k1_i(double at, double within, int order)
{
    double scaled = order == 0 ? gsl_sf_bessel_I0_scaled(within) : gsl_sf_bessel_I1_scaled(within);
    return gsl_sf_bessel_K1_scaled(at) * scaled * exp(within - at);
}

/* Rise of an endless plate at a distance from the middle of a disc of even heat, as a share of what
 * the same heat everywhere makes: the two solutions of u - L^2 laplace u = s that meet, with their
 * slope, at the rim. */
static double disc_rise(double radius_mm, double distance_mm, double length_mm)
{
    double rim = radius_mm / length_mm, at = distance_mm / length_mm;
    if (at <= rim)
        return 1 - rim * product_k1_i(rim, at, 0);
    return rim * gsl_sf_bessel_I1_scaled(rim) * gsl_sf_bessel_K0_scaled(at) * exp(rim - at);
}

/* Its mean over the disc itself. */
static double disc_mean(double radius_mm, double length_mm)
{
    double rim = radius_mm / length_mm;
    return 1 - 2 * product_k1_i(rim, rim, 1);
}

/* Rises at a place that sources make, before and with the fan. */
typedef struct blown {
    double before_k, after_k;
} blown;

static blown blow_source(const sf_source_fit *source, double x_mm, double y_mm, double length_mm,
                         double loss_ratio)
{
    double radius_mm = sqrt(source->width_mm * source->height_mm / M_PI);
    double distance_mm = hypot(x_mm - source->x_mm, y_mm - source->y_mm);
    double heat_k =
        fmax(source->rise_k.value, 0) * source->probability / disc_mean(radius_mm, length_mm);
    double fan_length_mm = length_mm * sqrt(loss_ratio);
    return (blown){heat_k * disc_rise(radius_mm, distance_mm, length_mm),
                   heat_k * loss_ratio * disc_rise(radius_mm, distance_mm, fan_length_mm)};
}

/* The share that stays under one ratio of the losses, without the fan over with it; at most 1,
 * since a fan never warms. */
static double share_kept(const sf_field *field, double x_mm, double y_mm, double rise_k,
                         double loss_ratio)
{
    double length_mm = sf_field_summarize(field).length_mm.value;
    size_t count = 0;
    const sf_source_fit *sources = sf_field_sources(field, &count);
    blown sum = {0, 0};
    for (size_t i = 0; i < count; i++) {
        blown one = blow_source(&sources[i], x_mm, y_mm, length_mm, loss_ratio);
        sum.before_k += one.before_k;
        sum.after_k += one.after_k;
    }
    double even_k = fmax(rise_k - sum.before_k, 0);
    double whole_k = sum.before_k + even_k;
    double kept = whole_k > 0 ? (sum.after_k + even_k * loss_ratio) / whole_k : loss_ratio;
    return isfinite(kept) ? fmin(fmax(kept, loss_ratio), 1) : kept;
}

sf_status sf_field_fan_share(const sf_field *field, const sf_board *board, double x_mm, double y_mm,
                             sf_estimate *share)
{
    double loss_ratio = sf_air_loss_w_m2k(board->air) / sf_air_loss_w_m2k(SF_AIR_FORCED);
    sf_estimate rise_k;
    if (!(sf_field_summarize(field).length_mm.value > 0) || !isfinite(x_mm) || !isfinite(y_mm))
        return SF_ERROR_ARGUMENT;
    sf_status status = sf_field_at(field, x_mm, y_mm, &rise_k);
    if (status != SF_OK)
        return status;
    /* two losses that know nothing of each other; where a fan blows already they are one */
    double factor = loss_ratio < 1 ? exp(M_SQRT2 * LOSS_SD_LN) : 1;
    double least = share_kept(field, x_mm, y_mm, rise_k.value, loss_ratio / factor);
    double most = share_kept(field, x_mm, y_mm, rise_k.value, fmin(loss_ratio * factor, 1));
    *share =
        (sf_estimate){share_kept(field, x_mm, y_mm, rise_k.value, loss_ratio), (most - least) / 2};
    return isfinite(share->value) && isfinite(share->sd) ? SF_OK : SF_ERROR_NUMERIC;
}
