/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Heat that nobody listed: found where it is, not found where all is explained. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "core/geometry.h"
#include "field/hunt.h"

static void candidates_stand_on_the_board_and_share_one_prior(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    double sum = 0;
    for (size_t c = 0; c < made.from.count; c++) {
        assert_true(board_contains(made.set.rings, 1, made.from.centres[c].x_mm,
                                   made.from.centres[c].y_mm));
        assert_true(made.from.sides_mm[c] >= 2 && made.from.sides_mm[c] <= 40);
        assert_true(made.from.covers[c].count > 0 && made.from.prior[c] > 0);
        sum += made.from.prior[c];
    }
    assert_close(sum, 1, 1e-12, 0);
    hunt_clear(&made);
}

static void every_place_has_a_candidate_near_and_readings_have_their_own(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    for (double y = 1; y < 80; y += 3.1)
        for (double x = 1; x < 100; x += 3.1) {
            double nearest = INFINITY;
            for (size_t c = 0; c < made.from.count; c++)
                nearest = fmin(nearest,
                               hypot(made.from.centres[c].x_mm - x, made.from.centres[c].y_mm - y));
            assert_true(nearest < 10);
        }
    for (size_t i = 0; i < READINGS; i++) {
        bool listed = i == 10; /* (78, 58) is on Q2 */
        size_t own = 0;
        for (size_t c = 0; c < made.from.count; c++)
            own += made.from.centres[c].x_mm == places[i][0] &&
                   made.from.centres[c].y_mm == places[i][1];
        assert_true(listed ? own == 0 : own >= 1);
    }
    hunt_clear(&made);
}

static void hidden_source_under_a_reading_is_found_there(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    update(&made);
    const effect *found = likeliest(&made.fit.found);
    assert_true(1 - found->nothing > 0.9);
    double x = 0, y = 0, strength = 0, likely = 1 - found->nothing;
    for (size_t c = 0; c < made.from.count; c++) {
        x += found->share[c] / likely * made.from.centres[c].x_mm;
        y += found->share[c] / likely * made.from.centres[c].y_mm;
        strength += found->share[c] / likely * found->mean[c];
    }
    assert_true(hypot(x - HIDDEN_X_MM, y - HIDDEN_Y_MM) < 6);
    assert_close(strength, 34400, 0.25, 0);
    assert_true(found->log_factor > 3);
    hunt_clear(&made);
}

static void found_source_explains_its_reading(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    double before = made.set.data.rise_k[HIDDEN] - made.fit.under.expected[HIDDEN];
    update(&made);
    double mean_at[READINGS];
    unlisted_mean_at(&made.fit.found, mean_at);
    assert_true(before > 10);
    assert_true(fabs(before - mean_at[HIDDEN]) < 0.3 * before);
    /* far away it says little */
    assert_true(mean_at[3] < 0.1 * mean_at[HIDDEN]);
    hunt_clear(&made);
}

static void nothing_is_found_where_all_is_explained(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 0);
    update(&made);
    for (int k = 0; k < EFFECT_COUNT; k++)
        assert_true(made.fit.found.effects[k].nothing > 0.7);
    hunt_clear(&made);
}

static void shares_sum_to_one(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    update(&made);
    for (int k = 0; k < EFFECT_COUNT; k++) {
        const effect *one = &made.fit.found.effects[k];
        double sum = one->nothing;
        for (size_t c = 0; c < made.from.count; c++) {
            assert_true(one->share[c] >= 0 && one->mean[c] >= 0 && one->variance[c] >= 0);
            sum += one->share[c];
        }
        assert_close(sum, 1, 1e-12, 0);
    }
    hunt_clear(&made);
}

static void contributions_are_the_moments_of_the_shares(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    update(&made);
    const unlisted *found = &made.fit.found;
    for (size_t i = 0; i < READINGS; i++) {
        size_t other = (i * 5 + 1) % READINGS;
        double second = 0, means = 0;
        for (int k = 0; k < EFFECT_COUNT; k++) {
            const effect *one = &found->effects[k];
            double first = 0;
            for (size_t c = 0; c < made.from.count; c++) {
                const double *at = found->at_readings + c * READINGS;
                first += one->share[c] * one->mean[c] * at[i];
                second += one->share[c] * (one->mean[c] * one->mean[c] + one->variance[c]) * at[i] *
                          at[other];
            }
            /* shares below a billionth may be left out */
            assert_close(one->mean_at[i], first, 1e-5, 1e-5);
            means += one->mean_at[i] * one->mean_at[other];
        }
        assert_close(found->second_at[i * READINGS + other], second, 1e-5, 1e-5);
        assert_close(found->spread_at[i * READINGS + other], second - means, 1e-5, 1e-5);
    }
    hunt_clear(&made);
}

static void bound_rises_from_update_to_update(void **state)
{
    (void)state;
    for (int turn = 0; turn < 2; turn++) {
        hunt made;
        hunt_set(&made, turn);
        double work[READINGS], residual[READINGS];
        for (size_t i = 0; i < READINGS; i++)
            residual[i] = made.set.data.rise_k[i] - made.fit.under.expected[i];
        double bare = gaussian_log_density(&made.fit.under, residual, work);
        update(&made);
        double bound = whole_bound(&made.fit.found, &made.fit.under, made.set.data.rise_k);
        /* without any source it cannot be below the prior chance of none */
        assert_true(bound > bare - 1);
        if (turn == 1)
            assert_true(bound > bare + 3);
        for (int again = 0; again < 4; again++) {
            update(&made);
            double next = whole_bound(&made.fit.found, &made.fit.under, made.set.data.rise_k);
            assert_true(next >= bound - 1e-9);
            bound = next;
        }
        hunt_clear(&made);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(candidates_stand_on_the_board_and_share_one_prior),
        cmocka_unit_test(every_place_has_a_candidate_near_and_readings_have_their_own),
        cmocka_unit_test(hidden_source_under_a_reading_is_found_there),
        cmocka_unit_test(found_source_explains_its_reading),
        cmocka_unit_test(nothing_is_found_where_all_is_explained),
        cmocka_unit_test(shares_sum_to_one),
        cmocka_unit_test(contributions_are_the_moments_of_the_shares),
        cmocka_unit_test(bound_rises_from_update_to_update),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
