/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A small board and its fit at one length, for tests of what a fit tells beside its mean. */
#ifndef SPOTFIELD_TESTS_FIELD_TOLD_BOARD_H
#define SPOTFIELD_TESTS_FIELD_TOLD_BOARD_H

#include "field/bench.h"
#include "field/dense.h"
#include "field/judge.h"
#include "field/length_average.h"

enum { READINGS = 6, SOURCES = 2, CANDIDATES = 2 };

/* The hyperparameters and the spreading length that fits here are made with. */
extern const hyperparameters held_hyperparameters;
extern const double held_length_mm;

/* 60 x 45 mm, a source of unknown and one of known power. */
typedef struct told_board {
    sf_source sources[SOURCES];
    sf_observation seen[READINGS];
    bench on;
} told_board;

void set_told(told_board *set);

/* A result with room for what dense_report fills in. */
model_result result_new(const told_board *set);
void result_clear(model_result *made);

/* A pass of one length under the hyperparameters that are held. */
void length_average_one(told_board *set, length_average *averaged);

/* Two places of a source that nobody listed. */
candidates two_candidates(const told_board *set);

#endif
