/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings to come on a Gaussian of places and common errors: against conditioning in one step. */
#include "support/check.h"

#include <math.h>
#include <string.h>

#include "life/plan_state.h"

enum { PLACES = 3 };

/* Rises that go partly together, and an instrument of thermocouple-K that is 0.6 known. */
static const double covariance_k2[PLACES * PLACES] = {9, 4, 1, 4, 7, 2, 1, 2, 5};

static void state_set(plan_state *of, double common_k[PLACES * SF_COMMON_COUNT],
                      double between[SF_COMMON_COUNT * SF_COMMON_COUNT])
{
    double copy_k2[PLACES * PLACES];
    memcpy(copy_k2, covariance_k2, sizeof copy_k2);
    memset(common_k, 0, PLACES * SF_COMMON_COUNT * sizeof *common_k);
    memset(between, 0, SF_COMMON_COUNT * SF_COMMON_COUNT * sizeof *between);
    for (size_t k = 0; k < SF_COMMON_COUNT; k++)
        between[k * SF_COMMON_COUNT + k] = k == SF_METHOD_THERMOCOUPLE_K ? 0.6 : 1;
    for (size_t p = 0; p < PLACES; p++)
        common_k[p * SF_COMMON_COUNT + SF_METHOD_THERMOCOUPLE_K] = -0.3 - 0.1 * (double)p;
    const sf_joint_rise joint = {
        .count = PLACES, .covariance_k2 = copy_k2, .common_k = common_k, .common_between = between};
    assert_int_equal(plan_state_make(&joint, of), SF_OK);
}

static plan_reading bead_at(size_t place)
{
    plan_reading made = {.place = place, .independent_k2 = 0.7};
    made.common_k[SF_METHOD_THERMOCOUPLE_K] = 1.4;
    return made;
}

/* Computed from the formula: y = u_p + 1.4 e + own, var y = var u_p + 2 * 1.4 cov + 1.96 * 0.6 +
 * 0.7, and var u_q falls by cov(u_q, y)^2 / var y. */
static void one_reading_is_conditioning_by_hand(void **state)
{
    (void)state;
    plan_state of;
    double common_k[PLACES * SF_COMMON_COUNT], between[SF_COMMON_COUNT * SF_COMMON_COUNT];
    state_set(&of, common_k, between);
    plan_reading bead = bead_at(1);
    double shown_k2 = 7 + 2 * 1.4 * -0.4 + 1.96 * 0.6 + 0.7, told_k2 = 4 + 1.4 * -0.3;
    assert_close(plan_state_shown_k2(&of, &bead), shown_k2, 1e-14, 0);
    assert_close(plan_state_told_k2(&of, 0, &bead), told_k2, 1e-14, 0);
    plan_state_take(&of, &bead);
    assert_close(plan_state_variance_k2(&of, 0), 9 - told_k2 * told_k2 / shown_k2, 1e-14, 0);
    plan_state_clear(&of);
}

/* An instrument that is off by the same on both readings leaves more than one that is off anew. */
static void a_second_reading_repeats_the_error_of_the_first(void **state)
{
    (void)state;
    double left_k2[2];
    for (int shared = 0; shared < 2; shared++) {
        plan_state of;
        double common_k[PLACES * SF_COMMON_COUNT], between[SF_COMMON_COUNT * SF_COMMON_COUNT];
        state_set(&of, common_k, between);
        for (size_t place = 1; place < PLACES; place++) {
            plan_reading bead = bead_at(place);
            if (!shared) {
                bead.independent_k2 =
                    plan_state_shown_k2(&of, &bead) - plan_state_variance_k2(&of, place);
                bead.common_k[SF_METHOD_THERMOCOUPLE_K] = 0;
            }
            plan_state_take(&of, &bead);
        }
        left_k2[shared] = plan_state_variance_k2(&of, 2);
        plan_state_clear(&of);
    }
    assert_true(left_k2[1] > left_k2[0] + 0.05);
}

/* In either order the same is known. */
static void the_order_of_readings_is_no_matter(void **state)
{
    (void)state;
    double left_k2[2];
    for (size_t order = 0; order < 2; order++) {
        plan_state of;
        double common_k[PLACES * SF_COMMON_COUNT], between[SF_COMMON_COUNT * SF_COMMON_COUNT];
        state_set(&of, common_k, between);
        plan_state_widen(&of, 2, 0.25);
        plan_reading first = bead_at(1 + order), second = bead_at(2 - order);
        plan_state_take(&of, &first);
        plan_state_take(&of, &second);
        left_k2[order] = plan_state_variance_k2(&of, 0);
        plan_state_clear(&of);
    }
    assert_close(left_k2[0], left_k2[1], 1e-13, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_reading_is_conditioning_by_hand),
        cmocka_unit_test(a_second_reading_repeats_the_error_of_the_first),
        cmocka_unit_test(the_order_of_readings_is_no_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
