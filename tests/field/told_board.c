/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The board of told_board.h. */
#include "field/told_board.h"

#include <stdlib.h>

#include "support/check.h"

/* The copper as good as even: what it adds is held by test_dense.c. */
const hyperparameters held_hyperparameters = {.white_k = 0.5,
                                              .patch = 0.07,
                                              .copper = 1e-6,
                                              .noise = 1.2,
                                              .strength_k_mm2 = 7000,
                                              .loss_w_m2k = 14};
const double held_length_mm = 12.3;

void set_told(told_board *set)
{
    static const double rows[READINGS][4] = {{11, 9, 24, 0.5},  {29, 31, 31, 0.8},
                                             {47, 13, 17, 0.4}, {53, 39, 19, 1.1},
                                             {8, 38, 22, 0.6},  {33, 6, 21, 0.9}};
    set->sources[0] = plain_source("R1", 13, 11, 9, 5);
    set->sources[1] = plain_source("Q2", 41, 28, 6, 8);
    for (size_t i = 0; i < READINGS; i++)
        set->seen[i] = plain_observation("t", rows[i][0], rows[i][1], rows[i][2], rows[i][3]);
    bench_set(&set->on, 60, 45, 3, set->sources, SOURCES, set->seen, READINGS);
}

model_result result_new(const told_board *set)
{
    size_t nodes = set->on.laid->nodes;
    model_result made = {.variance_k2 = calloc(nodes, sizeof(double)),
                         .independent_k2 = calloc(nodes, sizeof(double)),
                         .common_shift_k = calloc(SF_COMMON_COUNT * nodes, sizeof(double)),
                         .readings = calloc(READINGS, sizeof(sf_reading_fit)),
                         .sources = calloc(SOURCES + SF_UNLISTED_MOST, sizeof(sf_source_fit)),
                         .summary = {.cells = nodes}};
    assert_true(peaked_field_new(&set->on.data, &made.mean) && made.variance_k2 &&
                made.independent_k2 && made.common_shift_k && made.readings && made.sources);
    return made;
}

void result_clear(model_result *made)
{
    peaked_field_clear(&made->mean);
    free(made->variance_k2);
    free(made->independent_k2);
    free(made->common_shift_k);
    free(made->readings);
    free(made->sources);
}

void length_average_one(told_board *set, length_average *averaged)
{
    *averaged = (length_average){.weights = {1}, .count = 1};
    length_fit *fit = &averaged->fits[0];
    *fit = bench_hold(&set->on, held_length_mm, &held_hyperparameters);
    fit->loss_sd_ln = 0.19;
    assert_int_equal(length_fit_set_mean(&set->on.data, set->on.matrix, fit), SF_OK);
}

candidates two_candidates(const told_board *set)
{
    candidates made = {.count = CANDIDATES,
                       .centres = calloc(CANDIDATES, sizeof(sf_point)),
                       .sides_mm = calloc(CANDIDATES, sizeof(double)),
                       .covers = calloc(CANDIDATES, sizeof(footprint)),
                       .prior = calloc(CANDIDATES, sizeof(double))};
    assert_true(made.centres && made.sides_mm && made.covers && made.prior);
    for (size_t c = 0; c < CANDIDATES; c++) {
        made.centres[c] = (sf_point){22 + 14.3 * (double)c, 24 - 9.1 * (double)c};
        made.prior[c] = 0.5;
        assert_int_equal(grid_cover(set->on.laid, made.centres[c].x_mm, made.centres[c].y_mm, 10,
                                    10, 0, &made.covers[c]),
                         SF_OK);
    }
    return made;
}
