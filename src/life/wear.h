/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How much of its life a part has used: its hours at each temperature it saw, added linearly. */
#ifndef SPOTFIELD_LIFE_WEAR_H
#define SPOTFIELD_LIFE_WEAR_H

#include <stdbool.h>
#include <stddef.h>

#include "job/hours.h"
#include "spotfield/life.h"

/* The periods a board has lived through; one of an hour in service where no history is given.
 * Borrows the job's periods: it must not outlive the job, nor be copied (periods may point to
 * whole). */
typedef struct history {
    const sf_period *periods;
    size_t count;
    double total_h;
    bool told; /* by the job */
    sf_period whole;
} history;

void history_start(history *lived, const sf_job *job);

/* What wears a part: hours under stress, spread over the history as the board's are, at the
 * temperature that a rise over the air of each period makes. */
typedef struct wear {
    const history *lived;
    double stressed_h;   /* above 0 */
    double life_rated_h; /* at rated_c, ripple and voltage included */
    double rated_c;
    double floor_c; /* no credit below */
    double rise_k;  /* at load 1 */
    double cover_rise_k;
    double air_share;  /* of the variance of the temperature at load 1 that is of the air; 0 to 1 */
    double doubling_k; /* of sf_life_doubling_k; above 0 */
} wear;

/* ln of the share of life used, were the temperature off by offset_k at load 1 (Palmgren-Miner):
 * used = sum_i hours_i / L(T_i), T_i = rise load_i + ambient_i + cover rise + offset_i. The offset
 * of the rise goes with the load, that of the air is the same at each; both are taken to lie on one
 * side: offset_i = offset sqrt(load_i^2 (1 - air_share) + air_share).
 * Finite, and never falling with offset_k. */
double wear_log_used(const wear *worn, double offset_k);

/* A share of life from its ln, at most SF_USED_MAX: what is a million times past its rated life is
 * past it, and no number made from the share overflows. */
double wear_share_used(double log_used);

/* Least offset above offset_k at which a period of the history leaves the floor of the law, where
 * wear_log_used has a corner; INFINITY where there is none. */
double wear_next_corner(const wear *worn, double offset_k);

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

/* What of a standard normal law stays below with this chance, from -8 to 8. The chance that a share
 * is used is nearly a line on this scale, whose root a chord finds. */
double normal_score(double chance);

/* --- of one part --- */

/* What wears a part whose life and hours `result` tells. */
wear part_wear(const sf_job *job, const history *lived, const sf_part *part, double rise_k,
               const sf_part_result *result);

/* Fills what of the record is about hours, and about life used and left, which is NAN where hours
 * or law are not known. `result` tells its life; gives where the hours come from. */
run_time wear_tell(const sf_job *job, const history *lived, const sf_part *part, sf_estimate rise_k,
                   sf_part_result *result);

#endif
