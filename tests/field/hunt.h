/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A hunt for heat that nobody listed, for the tests of what is found and of its numbers. */
#ifndef SPOTFIELD_TESTS_FIELD_HUNT_H
#define SPOTFIELD_TESTS_FIELD_HUNT_H

#include "field/bench.h"

#define READINGS 12

/* A board of 100 x 80 mm with two listed sources and one that is not: 11 x 11 mm at (27, 53). */
typedef struct hunt {
    sf_source sources[2];
    sf_observation seen[READINGS];
    bench set;
    candidates from;
    length_fit fit;
} hunt;

#define HIDDEN_X_MM 27.0
#define HIDDEN_Y_MM 53.0
#define HIDDEN 2 /* the reading above it */

/* Where is read, mm. */
extern const double places[READINGS][2];

/* Starts the search under hyperparameters that are held, the hidden heat scaled by `hidden`. */
void hunt_set(hunt *made, double hidden);
void hunt_clear(hunt *made);

void update(hunt *made);

/* The bound of the log evidence of all readings, as its parts are meant to add up. */
double whole_bound(const unlisted *found, const gaussian *under, const double *rise_k);

const effect *likeliest(const unlisted *found);

#endif
