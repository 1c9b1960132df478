/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where a planned reading may stand, and how it is taken. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

#include "core/geometry.h"
#include "life/desk.h"

static void no_bead_goes_into_a_no_touch_area_or_close_to_it(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    size_t within = 0;
    sf_plan *plan = plan_of(&on, 40);
    for (size_t i = 0; i < plan->count; i++) {
        const sf_plan_point *point = &plan->points[i];
        bool inside = point->x_mm < 44 + 5 && point->y_mm < 48 + 5;
        bool surely = point->x_mm < 44 && point->y_mm < 48;
        within += surely;
        if (surely || point->method == SF_METHOD_INFRARED)
            assert_true(inside);
        if (surely) {
            assert_int_equal(point->method, SF_METHOD_INFRARED);
            assert_non_null(strstr(point->reason, "infrared only: mains primary"));
        }
    }
    assert_true(within > 0);
    sf_plan_free(plan);
}

static void places_stand_clear_on_the_board(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    on.job.board.service_ambient_c =
        37; /* so that much is at stake, and many places are worth it */
    sf_plan *plan = plan_of(&on, 40);
    assert_true(plan->count >= PARTS); /* the cans at least */
    for (size_t i = 0; i < plan->count; i++) {
        const sf_plan_point *point = &plan->points[i];
        assert_true(board_contains(on.rings, 2, point->x_mm, point->y_mm));
        assert_close(fmod(point->x_mm, 0.5), 0, 0, 0);
        for (size_t p = 0; p < PARTS; p++)
            assert_true((point->spot == SF_SPOT_PART && strcmp(point->on, on.parts[p].ref) == 0) ||
                        hypot(point->x_mm - on.parts[p].x_mm, point->y_mm - on.parts[p].y_mm) >=
                            4 + 1);
        bool under = strcmp(point->on, "H2") == 0;
        bool above = fabs(point->x_mm - 88) < 6 && fabs(point->y_mm - 44) < 6;
        assert_true(above == under);
        for (size_t other = 0; other < i; other++)
            assert_true(hypot(point->x_mm - plan->points[other].x_mm,
                              point->y_mm - plan->points[other].y_mm) >= 5);
    }
    sf_plan_free(plan);
}

static void readings_are_planned_with_the_thermometer_in_use(void **state)
{
    (void)state;
    desk on;
    sf_reading taken[] = {{.method = SF_METHOD_THERMOCOUPLE_J},
                          {.method = SF_METHOD_INFRARED},
                          {.method = SF_METHOD_THERMOCOUPLE_J}};
    desk_set(&on);
    on.job.keepout_count = 0;
    sf_plan *plan = plan_of(&on, 1);
    assert_int_equal(plan->points[0].method, SF_METHOD_THERMOCOUPLE_K);
    sf_plan_free(plan);
    on.job.readings = taken;
    on.job.reading_count = 3;
    plan = plan_of(&on, 1);
    assert_int_equal(plan->points[0].method, SF_METHOD_THERMOCOUPLE_J);
    assert_non_null(strstr(plan->points[0].reason, "discharge first"));
    sf_plan_free(plan);
}

static void a_place_that_was_read_is_not_planned_again(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    size_t planned = 0;
    for (on.seen_count = 1; on.seen_count <= SEEN; on.seen_count++) {
        sf_plan *plan = plan_of(&on, 30);
        planned += plan->count;
        for (size_t i = 0; i < plan->count; i++)
            for (size_t k = 0; k < on.seen_count; k++)
                assert_true(hypot(plan->points[i].x_mm - on.seen[k].x_mm,
                                  plan->points[i].y_mm - on.seen[k].y_mm) >= 5);
        sf_plan_free(plan);
    }
    assert_true(planned > 4 * SEEN);
}

static void a_reading_that_was_left_out_bars_no_place(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    on.seen_count = 4;
    sf_plan *plan = plan_of(&on, 1);
    sf_point first = {plan->points[0].x_mm, plan->points[0].y_mm};
    sf_plan_free(plan);
    on.seen[4].x_mm = first.x_mm;
    on.seen[4].y_mm = first.y_mm;
    on.seen[4].in_fit = false;
    on.seen_count = 5;
    plan = plan_of(&on, 1);
    assert_close(plan->points[0].x_mm, first.x_mm, 0, 0);
    assert_close(plan->points[0].y_mm, first.y_mm, 0, 0);
    sf_plan_free(plan);
}

/* With an unsure ruler a place read twice would tell most, were the second reading not off by the
 * same. */
static void no_place_is_planned_twice(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    on.job.policy.position_sd_mm = 15;
    on.job.keepout_count = 0;
    sf_plan *plan = plan_of(&on, 12);
    assert_true(plan->count > 4);
    for (size_t i = 0; i < plan->count; i++)
        for (size_t other = 0; other < i; other++)
            assert_true(hypot(plan->points[i].x_mm - plan->points[other].x_mm,
                              plan->points[i].y_mm - plan->points[other].y_mm) >= 5);
    sf_plan_free(plan);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_bead_goes_into_a_no_touch_area_or_close_to_it),
        cmocka_unit_test(places_stand_clear_on_the_board),
        cmocka_unit_test(readings_are_planned_with_the_thermometer_in_use),
        cmocka_unit_test(a_place_that_was_read_is_not_planned_again),
        cmocka_unit_test(a_reading_that_was_left_out_bars_no_place),
        cmocka_unit_test(no_place_is_planned_twice),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
