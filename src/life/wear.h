/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How much of its life a part has used: its hours at each temperature it saw, added linearly. */
#ifndef SPOTFIELD_LIFE_WEAR_H
#define SPOTFIELD_LIFE_WEAR_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/life.h"

/* Where the hours of a part come from. */
typedef enum hours_source {
    HOURS_UNKNOWN,
    HOURS_GIVEN,    /* the part's own, the board's, or those of its history */
    HOURS_ESTIMATED /* hours a year times age */
} hours_source;

typedef struct run_time {
    double hours; /* NAN where the source is unknown */
    double sd;    /* standard uncertainty of ln hours */
    hours_source source;
} run_time;

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

/* Hours the board has run: those of its history, else as given, else estimated from its age. */
run_time board_run_time(const sf_job *job, const history *lived);

/* Hours a part has run: its own, or the board's, cut to its share of the years where it was
 * fitted later. Duty is not in them. */
run_time part_run_time(const sf_job *job, const history *lived, const sf_part *part);

/* Years from the making of a part to the survey, not negative; NAN unknown. */
double part_age_years(const sf_board *board, const sf_part *part);

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

#endif
