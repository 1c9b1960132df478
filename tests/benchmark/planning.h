/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What planned readings are worth on raised boards, against others of the same number. */
#ifndef BENCHMARK_PLANNING_H
#define BENCHMARK_PLANNING_H

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stddef.h>

#include "spotfield/status.h"

/* How further readings are chosen after those of a technician. */
typedef enum planning_way {
    WAY_NONE,      /* none is taken */
    WAY_SPREAD,    /* on open board, where it lies farthest from all readings */
    WAY_PLANNED,   /* where sf_plan_make says, all at once */
    WAY_UNCERTAIN, /* on the cans whose temperature is most in doubt */
    PLANNING_WAYS
} planning_way;

extern const char *const planning_way_names[PLANNING_WAYS];

typedef struct planning_case {
    size_t readings, further; /* of the technician; then */
    unsigned long seed;
    bool unlisted; /* three of ten sources are not listed */
} planning_case;

/* Sums over cans and boards. */
typedef struct planning_score {
    double square_k2; /* of the errors of the cans' rises */
    size_t cans;
    size_t wrong_side; /* told to be past its rated life and is not, or the other way round */
    size_t needless;   /* less than 0.8 used and not critical, and told to be replaced */
    size_t worn_left;  /* past its rated life, and told to stay */
    size_t checks;     /* told to be checked */
    size_t planned;    /* readings that the plan asked for, before it was filled up */
} planning_score;

/* Adds what each way comes to on one board of the case: the one that make_boards --height makes of
 * the same seed and number. Where a plan ends early the most doubtful cans are read instead. */
sf_status planning_board(const planning_case *of, size_t number, gsl_rng *chance,
                         planning_score scores[PLANNING_WAYS]);

#endif
