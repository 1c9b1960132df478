/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is worth reading next, and when nothing is. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/desk.h"
#include "life/probe.h"

static void gains_are_positive_and_fall(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    for (on.seen_count = 0; on.seen_count < SEEN; on.seen_count += 3) {
        sf_plan *plan = plan_of(&on, 12);
        double sum = 0, last = INFINITY;
        assert_true(plan->count > 1);
        for (size_t i = 0; i < plan->count; i++) {
            assert_true(plan->points[i].gain >= SF_PLAN_GAIN_LEAST);
            assert_true(plan->points[i].gain <= last);
            sum += last = plan->points[i].gain;
        }
        assert_close(plan->loss - plan->loss_after, sum, 1e-9, 1e-12);
        assert_true(plan->loss_after >= 0);
        sf_plan_free(plan);
    }
}

static void first_points_do_not_hang_on_how_many_are_asked_for(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    sf_plan *few = plan_of(&on, 2), *many = plan_of(&on, 7);
    assert_int_equal(few->count, 2);
    assert_false(few->settled);
    assert_true(many->count > 2 && many->count <= 7);
    for (size_t i = 0; i < few->count; i++) {
        assert_close(few->points[i].x_mm, many->points[i].x_mm, 0, 0);
        assert_close(few->points[i].y_mm, many->points[i].y_mm, 0, 0);
        assert_string_equal(few->points[i].reason, many->points[i].reason);
    }
    sf_plan_free(few);
    sf_plan_free(many);
}

/* Readings far from H2 leave C3 unsure, beside it; H1 is weak, and known to be. 2,000 h at 85 C
 * make 24,000 h at 49.2 C. */
static void the_most_doubtful_hot_part_draws_the_first_reading(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    on.sources[0].power_w = 0.05;
    on.sources[0].power_sd_w = 0.005;
    on.seen_count = 4;
    sf_plan *plan = plan_of(&on, 3);
    for (size_t i = 0; i < PARTS; i++) {
        double past = plan->results[i].past_life;
        assert_true(i == 2 ? past > 0.1 && past < 0.9 : past < 0.05);
    }
    assert_true(plan->count > 0);
    assert_int_equal(plan->points[0].spot, SF_SPOT_PART);
    assert_int_equal(plan->points[0].side, SF_SIDE_COMPONENT);
    assert_string_equal(plan->points[0].on, "C3");
    assert_close(plan->points[0].x_mm, 101, 0, 0);
    assert_close(plan->points[0].y_mm, 44, 0, 0);
    assert_non_null(strstr(plan->points[0].reason, "settles C3: now "));
    sf_plan_free(plan);
    on.parts[2].side = SF_SIDE_SOLDER;
    plan = plan_of(&on, 1);
    assert_string_equal(plan->points[0].on, "C3");
    assert_int_equal(plan->points[0].side, SF_SIDE_SOLDER);
    sf_plan_free(plan);
}

/* Five cans about H2, each read in a hurry, so that what is left to read is the board. */
static void crowd_about_a_source(desk *on)
{
    desk_set(on);
    on->job.part_count = on->seen_count = SEEN;
    for (size_t i = 0; i < SEEN; i++) {
        on->parts[i].x_mm = 88 + 13 * cos(1.2566 * (double)i);
        on->parts[i].y_mm = 44 + 13 * sin(1.2566 * (double)i);
        on->parts[i].diameter_mm = 10;
        on->seen[i].x_mm = on->parts[i].x_mm;
        on->seen[i].y_mm = on->parts[i].y_mm;
        on->seen[i].spot = SF_SPOT_PART;
        on->seen[i].part = i;
        on->seen[i].rise_k = 14;
        on->seen[i].sd_k = 6;
    }
}

/* Of three parts two owe a fifth or more of their doubt to the source (a judgement of the code). */
static void a_source_that_parts_depend_on_is_told_by_its_name(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    const loss_model even = {
        .open = true, .may_leave = true, .middle_k = 20, .width_k = 3, .measure_from_k = INFINITY};
    plan_effect effects[] = {{&on.parts[3], &even, 20, 4, 0.05, 0.011, 0.19},
                             {&on.parts[0], &even, 20, 4, 0.05, 0.031, 0.53},
                             {&on.parts[2], &even, 20, 4, 0.05, 0.027, 0.21}};
    probe under = {{88, 44}, PROBE_SOURCE, 1, SF_METHOD_THERMOCOUPLE_K, NULL};
    char *reason = plan_reason_write(&on.job, &under, effects, 3);
    assert_string_equal(
        reason,
        "shows how strong H2 is, on which 2 parts depend; settles C1, C3 and C4: "
        "now 50 %, 50 % and 50 % likely past their rated life; under its middle, on the solder "
        "side; thermocouple taped to the board, 10 mm or more from any live part; "
        "discharge first");
    free(reason);
    /* a body on the solder side leaves the component side free */
    on.sources[1].side = SF_SIDE_SOLDER;
    assert_int_equal(probe_side(&on.job, &under), SF_SIDE_COMPONENT);
    reason = plan_reason_write(&on.job, &under, effects, 3);
    assert_non_null(strstr(reason, "; over its middle, on the component side; "));
    free(reason);
    effects[1].told = 0.19; /* sorted by gain */
    reason = plan_reason_write(&on.job, &under, effects, 3);
    assert_non_null(strstr(reason, "H2 is, on which 1 part depends; "));
    free(reason);
}

static void before_any_reading_the_plan_rests_on_what_is_expected(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    sf_plan *plan = plan_of(&on, 4);
    assert_int_equal(plan->readings, 0);
    assert_int_equal(plan->count, 4);
    assert_true(plan->loss_after < 0.8 * plan->loss);
    assert_int_equal(plan->part_count, PARTS);
    assert_true(plan->results[2].temp_sd_k > 3);
    sf_plan_free(plan);
}

static void cool_parts_that_ran_little_need_no_reading(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    on.seen_count = SEEN;
    on.job.board.run_hours = 300;
    sf_plan *plan = plan_of(&on, 8);
    assert_int_equal(plan->count, 0);
    assert_true(plan->settled);
    assert_true(plan->loss < SF_PLAN_GAIN_LEAST);
    sf_plan_free(plan);
}

static void parts_that_heat_cannot_change_draw_no_reading(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    for (size_t i = 0; i < PARTS; i++)
        on.parts[i].condition = SF_CONDITION_BULGED;
    sf_plan *plan = plan_of(&on, 8);
    assert_int_equal(plan->count, 0);
    assert_true(plan->settled);
    assert_close(plan->loss, 0, 0, 0);
    sf_plan_free(plan);
}

static void a_job_without_parts_needs_no_reading(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    on.job.part_count = 0;
    sf_plan *plan = plan_of(&on, 8);
    assert_int_equal(plan->count, 0);
    assert_true(plan->settled);
    sf_plan_free(plan);
}

static void a_ruler_that_is_far_off_makes_a_reading_worth_less(void **state)
{
    (void)state;
    desk on;
    crowd_about_a_source(&on);
    double last = INFINITY;
    /* the place of a can is no question of the ruler, so it changes what is to be read alone */
    for (double position_sd_mm = 0.2; position_sd_mm < 20; position_sd_mm *= 4) {
        on.job.policy.position_sd_mm = position_sd_mm;
        sf_plan *plan = plan_of(&on, 1);
        assert_int_equal(plan->points[0].spot, SF_SPOT_BOARD);
        assert_true(plan->points[0].gain < last);
        last = plan->points[0].gain;
        sf_plan_free(plan);
    }
}

static void of_very_many_parts_the_first_are_weighed_and_it_is_told(void **state)
{
    (void)state;
    enum { MANY = 1501 };
    static sf_part parts[MANY];
    desk on;
    desk_set(&on);
    for (size_t i = 0; i < MANY; i++) {
        parts[i] = plain_part("C3");
        parts[i].x_mm = 101;
        parts[i].y_mm = 44;
    }
    on.job.parts = parts;
    on.job.part_count = MANY;
    on.seen_count = 4;
    sf_plan *plan;
    sf_plan_options options = sf_plan_options_default();
    options.points = 1;
    assert_int_equal(
        sf_plan_make(&on.job, on.seen, on.seen_count, &options, &plan, &on.diagnostics), SF_OK);
    assert_int_equal(on.diagnostics.error_count, 0);
    bool told = false;
    for (size_t i = 0; i < on.diagnostics.count; i++)
        told = told || strstr(on.diagnostics.items[i].what, "considers only the first 1,500");
    assert_true(told);
    assert_int_equal(plan->part_count, MANY);
    sf_diagnostics_clear(&on.diagnostics);
    sf_plan_free(plan);
}

static void counts_out_of_range_are_refused(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    const size_t refused[] = {0, SF_PLAN_POINTS_MAX + 1};
    for (size_t i = 0; i < 2; i++) {
        sf_plan *plan;
        sf_plan_options options = sf_plan_options_default();
        options.points = refused[i];
        assert_int_equal(sf_plan_make(&on.job, NULL, 0, &options, &plan, &on.diagnostics),
                         SF_ERROR_ARGUMENT);
        assert_null(plan);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gains_are_positive_and_fall),
        cmocka_unit_test(first_points_do_not_hang_on_how_many_are_asked_for),
        cmocka_unit_test(the_most_doubtful_hot_part_draws_the_first_reading),
        cmocka_unit_test(a_source_that_parts_depend_on_is_told_by_its_name),
        cmocka_unit_test(before_any_reading_the_plan_rests_on_what_is_expected),
        cmocka_unit_test(cool_parts_that_ran_little_need_no_reading),
        cmocka_unit_test(parts_that_heat_cannot_change_draw_no_reading),
        cmocka_unit_test(a_job_without_parts_needs_no_reading),
        cmocka_unit_test(a_ruler_that_is_far_off_makes_a_reading_worth_less),
        cmocka_unit_test(of_very_many_parts_the_first_are_weighed_and_it_is_told),
        cmocka_unit_test(counts_out_of_range_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
