/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Infrared spots: from the radiance temperature to the temperature of the surface. The
 * thermometer sees e T^4 of the surface and (1 - e) R^4 of what the surface mirrors
 * (Stefan-Boltzmann and Kirchhoff, opaque grey body): M^4 = e T^4 + (1 - e) R^4. */
#include "readings/settle.h"

#include <math.h>

#include "core/text.h"
#include "spotfield/reading.h"

#define ZERO_C_ABS_K 273.15
#define PLANCK_ABS_K (14387.769 / 10.4) /* hc/(k wavelength): CODATA 2018 in um K, over um */
#define HOTTEST_C 1500.0 /* no board gives it; keeps fourth powers far from overflow */

static bool is_temperature(double temp_c)
{
    return temp_c > -ZERO_C_ABS_K && temp_c <= HOTTEST_C;
}

static double cube(double value)
{
    return value * value * value;
}

static double fourth_power(double value)
{
    return value * value * value * value;
}

double infrared_k_per_emissivity(double temp_c, double emissivity, double reflected_c)
{
    double temp_abs_k = temp_c + ZERO_C_ABS_K, reflected_abs_k = reflected_c + ZERO_C_ABS_K;
    return fabs(fourth_power(reflected_abs_k) - fourth_power(temp_abs_k)) /
           (4 * emissivity * cube(temp_abs_k));
}

/* Tables of painted and plastic surfaces agree within some 0.03. Bare metal runs from 0.04
 * polished to 0.3 oxidised (aluminium, handbook emissivity tables): half that width over sqrt 3. */
double doubt_of_emissivity(double emissivity)
{
    return emissivity < EMISSIVITY_LEAST ? 0.075 : 0.03;
}

double doubt_of_mask_k(double temp_c, double mirrored_c)
{
    return infrared_k_per_emissivity(temp_c, EMISSIVITY_OF_MASK, mirrored_c) *
           doubt_of_emissivity(EMISSIVITY_OF_MASK);
}

double infrared_k_per_reflected_k(double temp_c, double emissivity, double reflected_c)
{
    double temp_abs_k = temp_c + ZERO_C_ABS_K, reflected_abs_k = reflected_c + ZERO_C_ABS_K;
    return (1 - emissivity) * cube(reflected_abs_k) / (emissivity * cube(temp_abs_k));
}

/* Planck's law at the one wavelength, without its constant factor, and its inverse. */
static double radiance(double temp_c)
{
    return 1 / expm1(PLANCK_ABS_K / (temp_c + ZERO_C_ABS_K));
}

static double radiance_temp_c(double radiance)
{
    return PLANCK_ABS_K / log1p(1 / radiance) - ZERO_C_ABS_K;
}

double infrared_law_doubt_k(double shown_c, double emissivity, double reflected_c, double temp_c)
{
    double own = (radiance(shown_c) - (1 - emissivity) * radiance(reflected_c)) / emissivity;
    /* the steeper law leaves nothing of the surface where the mirrored part is the greater */
    return own > 0 ? fabs(radiance_temp_c(own) - temp_c) : fabs(temp_c - shown_c);
}

sf_status sf_infrared_temp(double shown_c, double emissivity, double reflected_c, double *temp_c,
                           double *sd_per_emissivity, double *gain)
{
    if (!is_temperature(shown_c) || !is_temperature(reflected_c) ||
        !(emissivity > 0 && emissivity <= 1))
        return SF_ERROR_ARGUMENT;
    double shown_abs_k = shown_c + ZERO_C_ABS_K, reflected_abs_k = reflected_c + ZERO_C_ABS_K;
    double own =
        (fourth_power(shown_abs_k) - (1 - emissivity) * fourth_power(reflected_abs_k)) / emissivity;
    if (!(own > 0 && isfinite(own)))
        return SF_ERROR_ARGUMENT;
    double temp_abs_k = sqrt(sqrt(own));
    *temp_c = temp_abs_k - ZERO_C_ABS_K;
    if (sd_per_emissivity)
        *sd_per_emissivity = infrared_k_per_emissivity(*temp_c, emissivity, reflected_c);
    if (gain)
        *gain = cube(shown_abs_k) / (emissivity * cube(temp_abs_k));
    return SF_OK;
}

/* --- of one row --- */

/* Of a value the instrument has corrected by itself, only the doubt of that correction is left:
 * inside u_k where that is given, else as on solder mask, since what it was set to is not told. */
static double doubt_of_corrected_k(const sf_reading *row, double mirrored_c)
{
    if (!isnan(row->sd_k))
        return 0;
    return doubt_of_mask_k(row->value, mirrored_c);
}

bool infrared_convert(correction *run, const sf_reading *row, row_value *value)
{
    double mirrored_c = isnan(row->reflected_c) ? value->ambient_c : row->reflected_c;
    if (isnan(row->emissivity)) {
        value->common_sd_k = doubt_of_corrected_k(row, mirrored_c);
        return true;
    }
    double k_per_emissivity;
    if (sf_infrared_temp(row->value, row->emissivity, mirrored_c, &value->temp_c, &k_per_emissivity,
                         &value->gain) != SF_OK) {
        correction_refuse(run, row->line, "value",
                          text_format("%g C is less than emissivity %g reflects of %g C alone",
                                      row->value, row->emissivity, mirrored_c),
                          "another emissivity or reflected_c");
        return false;
    }
    double emissivity_sd_k = k_per_emissivity * doubt_of_emissivity(row->emissivity);
    double law_sd_k = infrared_law_doubt_k(row->value, row->emissivity, mirrored_c, value->temp_c);
    double mirrored_sd_k =
        infrared_k_per_reflected_k(value->temp_c, row->emissivity, mirrored_c) * REFLECTED_SD_K;
    value->common_sd_k = hypot(hypot(emissivity_sd_k, law_sd_k), mirrored_sd_k);
    return true;
}
