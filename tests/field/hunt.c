/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads a field in which something is hidden, and begins to seek it. */
#include "field/hunt.h"

#include <stdlib.h>

#include "support/check.h"

#define LENGTH_MM 26.0

const double places[READINGS][2] = {{12, 11}, {49, 9},  {28, 52}, {90, 14}, {9, 71},  {55, 73},
                                    {92, 70}, {51, 40}, {72, 33}, {8, 34},  {78, 58}, {33, 30}};

/* Readings of a field of heat over loss per area, the hidden one scaled by `hidden`. */
static void read_field(hunt *made, double hidden)
{
    static const double strengths_k_mm2[3] = {38800, 29200, 34400};
    const sf_source all[3] = {made->sources[0], made->sources[1],
                              plain_source("hidden", HIDDEN_X_MM, HIDDEN_Y_MM, 11, 11)};
    grid *laid = made->set.laid;
    double *field = calloc(laid->nodes, sizeof *field);
    assert_non_null(field);
    for (size_t node = 0; node < laid->nodes; node++)
        field[node] = 9.3;
    for (size_t j = 0; j < 3; j++) {
        footprint cover;
        assert_int_equal(grid_cover(laid, all[j].x_mm, all[j].y_mm, all[j].width_mm,
                                    all[j].height_mm, 0, &cover),
                         SF_OK);
        for (size_t i = 0; i < cover.count; i++)
            field[cover.shares[i].node] +=
                (j == 2 ? hidden : 1) * strengths_k_mm2[j] * cover.shares[i].share / cover.area_mm2;
        free(cover.shares);
    }
    assert_int_equal(balance_factor(made->set.matrix, LENGTH_MM, NULL), SF_OK);
    assert_int_equal(balance_solve(made->set.matrix, field, field, 1), SF_OK);
    unsigned long seed = 606;
    for (size_t i = 0; i < READINGS; i++)
        made->set.data.rise_k[i] =
            sample_value(&made->set.data.samples[i], field) + 0.4 * next_normal(&seed);
    free(field);
}

void hunt_set(hunt *made, double hidden)
{
    made->sources[0] = plain_source("R1", 70, 20, 12, 8);
    made->sources[1] = plain_source("Q2", 75, 62, 8, 8);
    for (size_t i = 0; i < READINGS; i++)
        made->seen[i] = plain_observation("h", places[i][0], places[i][1], 17, 0.5);
    bench_set(&made->set, 100, 80, 2.5, made->sources, 2, made->seen, READINGS);
    read_field(made, hidden);
    made->set.data.background_k = 9;
    hyperparameters held = {
        .white_k = 0.3, .patch = 0.05, .noise = 1, .strength_k_mm2 = 31000, .loss_w_m2k = 15};
    assert_int_equal(candidates_make(&made->set.data, &made->from), SF_OK);
    made->fit = bench_hold(&made->set, LENGTH_MM, &held);
    assert_int_equal(unlisted_start(&made->from, &made->fit.green, &made->fit.found), SF_OK);
}

void hunt_clear(hunt *made)
{
    length_fit_clear(&made->fit);
    candidates_clear(&made->from);
    bench_clear(&made->set);
}

void update(hunt *made)
{
    assert_int_equal(unlisted_update(&made->fit.found, &made->fit.under, made->set.data.rise_k,
                                     made->fit.fitted.strength_k_mm2),
                     SF_OK);
}

double whole_bound(const unlisted *found, const gaussian *under, const double *rise_k)
{
    double mean_at[READINGS], residual[READINGS], work[READINGS];
    unlisted_mean_at(found, mean_at);
    for (size_t i = 0; i < under->readings; i++)
        residual[i] = rise_k[i] - under->expected[i] - mean_at[i];
    return found->bound - unlisted_doubt(found, under) +
           gaussian_log_density(under, residual, work);
}

const effect *likeliest(const unlisted *found)
{
    const effect *best = &found->effects[0];
    for (int k = 1; k < EFFECT_COUNT; k++)
        if (found->effects[k].nothing < best->nothing)
            best = &found->effects[k];
    return best;
}
