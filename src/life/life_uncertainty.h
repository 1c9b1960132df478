/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The doubt of the share of life used. The offset of the temperature is normal; the rest, of
 * endurance and hours, is normal in ln used; the two do not depend on each other:
 *
 *     used = u(e) exp(s z), e ~ N(0, temp_sd_k^2), z ~ N(0, 1), u of wear_log_used.
 *
 * Above the floor of the law and in a single period ln u is a straight line of slope ln 2 / 10,
 * and ln used is normal with sd^2 = (ln 2 / 10 temp_sd)^2 + s^2. Below the floor a colder part
 * lives no longer, which that formula would not know: so the integral over e is taken,
 *
 *     P(used > x) = integral of phi(t) Q((ln x - ln u(t temp_sd)) / s) dt,
 *
 * Q the upper tail of the normal distribution, phi its density. */
#ifndef SPOTFIELD_LIFE_LIFE_UNCERTAINTY_H
#define SPOTFIELD_LIFE_LIFE_UNCERTAINTY_H

#include "life/wear.h"

typedef struct doubt {
    const wear *worn;
    double temp_sd_k; /* at load 1, not negative */
    double rest_sd;   /* s, not negative */
} doubt;

/* The doubt of a wear whose rise and air have standard uncertainties of their own; sets the wear's
 * air_share. */
doubt doubt_make(wear *worn, double rise_sd_k, double air_sd_k, double rest_sd);

/* P(used > share), share above 0. */
double doubt_tail(const doubt *of, double share);

/* The share that `used` does not exceed with probability 0.05 and 0.95. */
double doubt_low(const doubt *of);
double doubt_high(const doubt *of);

/* sf_wear_share averaged over the uncertainty. */
double doubt_worn_share(const doubt *of, double shape, double at_rated);

/* Standard deviation of ln used that temperature alone makes, taken from one sd to either side. */
double doubt_from_heat(const doubt *of);

/* Whether more of the doubt comes from the rise, which a reading tells, than from all else. */
bool doubt_mostly_rise(const doubt *of);

/* --- functions of one variable --- */

typedef double (*curve)(double at, const void *context);

/* Where a curve that never falls crosses zero between low and high: low where it is not below
 * zero even there, high where it does not rise above it. A jump across zero is found as well. */
double rising_root(curve rising, const void *context, double low, double high);

/* Integral from low to high by the 16-point Gauss-Legendre rule. */
double integral(curve smooth, const void *context, double low, double high);

#endif
