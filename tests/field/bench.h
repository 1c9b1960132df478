/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One fit taken apart: a rectangular board with sources and readings, its grid, data and balance,
 * for tests that hold the hyperparameters themselves. */
#ifndef SPOTFIELD_TESTS_FIELD_BENCH_H
#define SPOTFIELD_TESTS_FIELD_BENCH_H

#include "field/balance.h"
#include "field/boards.h"
#include "field/fit_data.h"
#include "field/length_fit.h"

typedef struct bench {
    sf_board board;
    sf_point corners[2][4];
    sf_ring rings[2]; /* the edge, and a slot where one was cut */
    sf_field_input input;
    grid *laid;
    fit_data data;
    balance *matrix;
} bench;

/* Sets up a plain board; sources and observations must outlive it. Fails the test where it cannot.
 * It must not be moved in memory afterwards. */
void bench_set(bench *into, double width_mm, double height_mm, double cell_mm,
               const sf_source *sources, size_t source_count, const sf_observation *observations,
               size_t observation_count);
void bench_clear(bench *made);

/* Cuts an upright slot into a board that was set, and gathers anew. */
void bench_cut(bench *into, double left_mm, double low_mm, double right_mm, double high_mm);

/* Takes away what the cells do not show of the sources, so that algebra on the nodes can follow. */
void bench_without_peaks(bench *made);

/* Answer and Gaussian at a length and hyperparameters that are held; no source sought, inverse and
 * weights set. Ended with length_fit_clear. */
length_fit bench_hold(bench *made, double length_mm, const hyperparameters *held);

/* Posterior standard deviation at every node under a held fit; freed by the caller. */
double *bench_sd(bench *made, const length_fit *held);

/* The matrix of the balance written out, nodes x nodes, from links and losses; freed by the
 * caller. */
double *dense_balance(const grid *laid, double length_mm, const double *loss);

#endif
