/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whole parts through the line: the numbers that are told of them. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/fixture.h"

static void temperature_is_rise_over_the_air_in_service_and_the_covers(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.service_ambient_c = 29.5;
    job.policy.cover_rise_k = 4.25;
    sf_part_result result = decide_one(&job, 18.5, 2.125);
    assert_close(result.temp_c, 52.25, 1e-15, 0);
    assert_close(result.temp_sd_k, 2.125, 0, 0);
    /* computed from the formula */
    assert_close(result.life_h, 2000 * exp2(3.275), 1e-14, 0);
    assert_close(result.used, 24000 / (2000 * exp2(3.275)), 1e-13, 0);
    free(result.reason);
}

static void case_against_board_adds_to_the_doubt_of_used_only(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours_sd = 1920; /* 8 % */
    sf_part_result result = decide_one(&job, 47, 2);
    /* computed: sd^2 = (ln 2 / 10)^2 (2^2 + 1.5^2) + 0.08^2, the floor 12 sd away */
    double sd = hypot(log(2) / 10 * 2.5, 0.08);
    assert_close(result.temp_sd_k, 2, 0, 0);
    assert_close(log(result.used_high / result.used), 1.6448536 * sd, 1e-6, 0);
    assert_close(log(result.used / result.used_low), 1.6448536 * sd, 1e-6, 0);
    assert_true(result.doubt_mostly_heat);
    free(result.reason);
}

static void an_unmarked_part_is_taken_for_the_lowest_common_grade(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.endurance_h = NAN;
    sf_part_result result = decide_one(&job, 47, 2);
    assert_close(result.endurance_h, 1000, 0, 0);
    assert_true(result.endurance_assumed);
    assert_false(result.doubt_mostly_heat);
    assert_close(log(result.used_high / result.used), 1.6448536 * hypot(log(2) / 10 * 2.5, 0.35),
                 1e-6, 0);
    free(result.reason);
    part.rated_c = 105;
    result = decide_one(&job, 47, 2);
    assert_close(result.endurance_h, 2000, 0, 0);
    free(result.reason);
}

static void hours_left_are_the_boards_at_todays_temperature_and_duty(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    /* computed: 2,000 h at 85 C, 4000@55 + 3000@65 + 500@75 uses 0.75, 4,000 h remain at 55 C */
    sf_period periods[] = {{4000, 23, 1, ""}, {3000, 33, 1, ""}, {500, 43, 1, ""}};
    job.periods = periods;
    job.period_count = 3;
    job.board.hours_per_year = 1600;
    sf_part_result result = decide_one(&job, 32, 1);
    assert_close(result.hours, 7500, 0, 0);
    assert_close(result.used, 0.75, 1e-13, 0);
    assert_close(result.left_h, 4000, 1e-12, 0);
    assert_close(result.left_years, 2.5, 1e-12, 0);
    free(result.reason);
    part.duty = 0.4;
    result = decide_one(&job, 32, 1);
    assert_close(result.used, 0.3, 1e-13, 0);
    assert_close(result.left_h, 0.7 * 16000 / 0.4, 1e-12, 0);
    free(result.reason);
    part.duty = 1;
    job.policy.cover_rise_k = 3;
    result = decide_one(&job, 29, 1);
    assert_close(result.used, 0.75, 1e-13, 0);
    assert_close(result.left_h, 4000, 1e-12, 0);
    free(result.reason);
}

static void a_part_past_its_life_has_no_hours_left(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.hours_per_year = 1600;
    /* computed: 24,000 h at 70 C of the 2,000 2^1.5 h that it lives there */
    sf_part_result result = decide_one(&job, 47, 1);
    assert_close(result.used, 12 / exp2(1.5), 1e-13, 0);
    assert_close(result.left_h, 0, 0, 0);
    assert_close(result.left_years, 0, 0, 0);
    free(result.reason);
}

/* The guidance is an age up to which seals hold; common practice, no source. */
static void a_seal_of_exactly_the_advised_age_still_counts_as_sound(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.critical = true;
    job.board.run_hours = 700;
    job.board.made_year = 2006;
    job.board.survey_year = 2021;
    sf_part_result result = decide_one(&job, 19, 1);
    assert_close(result.age_years, job.policy.seal_years, 0, 0);
    assert_int_equal(result.verdict, SF_LEAVE);
    free(result.reason);
    job.board.survey_year = 2021.25;
    result = decide_one(&job, 19, 1);
    assert_int_equal(result.rule, SF_RULE_CRITICAL);
    free(result.reason);
}

static void a_part_never_stressed_is_not_used(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.duty = 0;
    sf_part_result result = decide_one(&job, 55, 3);
    assert_close(result.used, 0, 0, 0);
    assert_close(result.used_low, 0, 0, 0);
    assert_close(result.used_high, 0, 0, 0);
    assert_close(result.past_life, 0, 0, 0);
    assert_close(result.worn_out, 0, 0, 0);
    assert_close(result.left_h, 131400, 0, 0);
    assert_int_equal(result.verdict, SF_LEAVE);
    free(result.reason);
}

static void ripple_counts_where_the_can_was_not_read_itself(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.ripple_a = 0.35;
    part.rated_ripple_a = 0.5;
    part.endurance_with_ripple = true;
    /* computed: 2^((1 - 0.49) 10 / 10) */
    sf_part_result result = decide_one(&job, 40, 2);
    assert_close(result.ripple_factor, exp2(0.51), 1e-14, 0);
    assert_close(result.life_h, 2000 * exp2(2.2 + 0.51), 1e-14, 0);
    assert_close(result.used, 24000 / (2000 * exp2(2.2 + 0.51)), 1e-13, 0);
    free(result.reason);
    sf_reading readings[] = {{.x_mm = 31, .y_mm = 17, .spot = SF_SPOT_BOARD},
                             {.x_mm = 36, .y_mm = 23.5, .spot = SF_SPOT_PART}};
    job.readings = readings;
    job.reading_count = 2;
    result = decide_one(&job, 40, 2); /* 8.2 mm away: another part's can */
    assert_close(result.ripple_factor, exp2(0.51), 1e-14, 0);
    free(result.reason);
    readings[1].x_mm = 37.1; /* 2.1 mm off the edge of its 8 mm can */
    readings[1].y_mm = 17;
    result = decide_one(&job, 40, 2);
    assert_close(result.ripple_factor, exp2(0.51), 1e-14, 0);
    free(result.reason);
    readings[1].x_mm = 36.9; /* 1.9 mm off: within two sds of the ruler */
    result = decide_one(&job, 40, 2);
    assert_close(result.ripple_factor, 1, 0, 0);
    free(result.reason);
    job.reading_count = 0;
    part.rated_ripple_a = NAN;
    result = decide_one(&job, 40, 2);
    assert_close(result.ripple_factor, 1, 0, 0);
    free(result.reason);
}

/* What less ripple spares was in the endurance already, where that was reached without any. */
static void less_ripple_earns_life_only_where_the_endurance_is_stated_with_it(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.ripple_a = 0.35;
    part.rated_ripple_a = 0.5;
    sf_part_result result = decide_one(&job, 40, 2);
    assert_close(result.ripple_factor, 1, 0, 0);
    free(result.reason);
    part.endurance_with_ripple = true;
    part.endurance_h = NAN; /* nothing is stated */
    result = decide_one(&job, 40, 2);
    assert_close(result.ripple_factor, 1, 0, 0);
    free(result.reason);
    part.ripple_a = 0.8; /* more than rated costs in any case: 2^((1 - 2.56) 10 / 10) */
    part.endurance_with_ripple = false;
    result = decide_one(&job, 40, 2);
    assert_close(result.ripple_factor, exp2(-1.56), 1e-14, 0);
    free(result.reason);
}

/* One period above the floor: ln used is normal, and its variance is the sum of all. */
static void air_and_hours_widen_the_share_used(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.service_ambient_sd_k = 3.1;
    job.board.run_hours_sd_pct = 12;
    sf_part_result result = decide_one(&job, 40, 2);
    double sd = hypot(log(2) / 10 * sqrt(2 * 2 + 1.5 * 1.5 + 3.1 * 3.1), 0.12);
    /* 1.644853627 is the normal 95 % quantile (Abramowitz and Stegun, table 26.5, from memory) */
    assert_close(log(result.used_high / result.used), 1.644853627 * sd, 1e-6, 0);
    assert_close(log(result.used / result.used_low), 1.644853627 * sd, 1e-6, 0);
    assert_close(result.past_life, erfc(-log(result.used) / sd / sqrt(2)) / 2, 1e-6, 0);
    free(result.reason);
    /* 13 K below the floor heat tells nothing, and the hours are still not known */
    job.board.service_ambient_sd_k = 1.2;
    result = decide_one(&job, 4, 0.7);
    assert_true(result.temp_c < 30);
    assert_close(log(result.used_high / result.used), 1.644853627 * 0.12, 1e-6, 0);
    assert_close(log(result.used / result.used_low), 1.644853627 * 0.12, 1e-6, 0);
    free(result.reason);
}

/* A reading of the board tells nothing of the air in the cabinet. */
static void a_doubt_that_is_mostly_the_airs_asks_for_no_reading_of_the_board(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    sf_part_result result = decide_one(&job, 21, 4.5);
    assert_int_equal(result.rule, SF_RULE_DOUBT);
    double clear_below_c = result.clear_below_c;
    free(result.reason);
    job.board.service_ambient_sd_k = 2.5;
    result = decide_one(&job, 21, 4.5);
    assert_int_equal(result.rule, SF_RULE_DOUBT);
    /* it would have to come out colder to clear the part in any air that may be */
    assert_true(result.clear_below_c < clear_below_c - 0.5);
    free(result.reason);
    job.board.service_ambient_sd_k = 6;
    result = decide_one(&job, 21, 4.5);
    assert_false(result.doubt_mostly_heat);
    assert_int_equal(result.rule, SF_RULE_MEASURE);
    free(result.reason);
}

/* Made 2009, surveyed mid 2021: the seals' 15 years end in mid 2024, idle or not. */
static void no_years_are_left_beyond_the_age_of_the_seals(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.hours_per_year = 1000;
    sf_part_result result = decide_one(&job, 9, 1);
    assert_true(result.left_h > 20000);
    assert_close(result.left_years, 15 - 12.5, 1e-12, 0);
    assert_non_null(strstr(result.reason, "2.5 years until its seals are older than advised"));
    free(result.reason);
    job.board.hours_per_year = 8700;
    part.hours = 24000; /* its own, which the board's years say nothing about */
    result = decide_one(&job, 9, 1);
    assert_close(result.left_years, result.left_h / 8700, 1e-12, 0);
    assert_non_null(strstr(result.reason, "years left at today's use"));
    free(result.reason);
    part.year = 2001;
    result = decide_one(&job, 5, 1);
    assert_close(result.left_years, 0, 0, 0);
    assert_true(result.left_h > 20000);
    assert_null(strstr(result.reason, "years left at"));
    free(result.reason);
    part.year = job.board.made_year = 0; /* no age is known */
    job.board.hours_per_year = 1000;
    result = decide_one(&job, 9, 1);
    assert_close(result.left_years, result.left_h / 1000, 1e-12, 0);
    free(result.reason);
}

/* Cans of 8 mm stand side by side, one of them read: only that one's temperature holds its ripple's
 * heat. */
static void a_can_that_was_read_says_nothing_of_its_neighbours_ripple(void **state)
{
    (void)state;
    sf_part parts[] = {plain_part("C1"), plain_part("C2")};
    parts[1].x_mm = parts[0].x_mm + parts[0].diameter_mm;
    for (size_t i = 0; i < 2; i++) {
        parts[i].ripple_a = 0.8;
        parts[i].rated_ripple_a = 0.5;
    }
    sf_job job = plain_job(parts, 2);
    sf_reading on_second = {.x_mm = parts[1].x_mm - 3.4, .y_mm = 17, .spot = SF_SPOT_PART};
    job.readings = &on_second;
    job.reading_count = 1;
    sf_estimate rises_k[] = {{20, 2}, {20, 2}};
    sf_part_result *results = NULL;
    assert_int_equal(sf_parts_decide(&job, rises_k, &results), SF_OK);
    /* computed: 2^((1 - 1.6^2) 10 / 10) */
    assert_close(results[0].ripple_factor, exp2(-1.56), 1e-14, 0);
    assert_close(results[1].ripple_factor, 1, 0, 0);
    sf_prospect later;
    sf_what_if as_it_is = {.grade_c = NAN};
    assert_int_equal(sf_parts_prospect(&job, rises_k, results, &as_it_is, &later), SF_OK);
    size_t counts[SF_VERDICT_COUNT] = {0};
    for (size_t i = 0; i < 2; i++)
        counts[results[i].verdict]++;
    /* each alone under a what-if, it is told as among the others */
    assert_true(results[0].verdict != results[1].verdict);
    for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++)
        assert_int_equal(later.verdicts[verdict], counts[verdict]);
    sf_part_results_free(results, 2);
    on_second.part = (char *)"C1"; /* what is named counts, wherever it lies */
    assert_int_equal(sf_parts_decide(&job, rises_k, &results), SF_OK);
    assert_close(results[0].ripple_factor, 1, 0, 0);
    assert_close(results[1].ripple_factor, exp2(-1.56), 1e-14, 0);
    sf_part_results_free(results, 2);
}

static void voltage_earns_life_only_in_large_cans_and_where_the_policy_says(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.diameter_mm = 25;
    part.rated_v = 400;
    part.working_v = 320;
    sf_part_result result = decide_one(&job, 40, 2);
    assert_close(result.voltage_factor, 1, 0, 0);
    free(result.reason);
    job.policy.voltage_exponent = 2.5;
    result = decide_one(&job, 40, 2);
    assert_close(result.voltage_factor, 1.747, 5e-4, 0); /* 0.8^-2.5 */
    free(result.reason);
    part.working_v = NAN;
    result = decide_one(&job, 40, 2);
    assert_close(result.voltage_factor, 1, 0, 0);
    free(result.reason);
    part.working_v = 320;
    part.diameter_mm = 18;
    result = decide_one(&job, 40, 2);
    assert_close(result.voltage_factor, 1, 0, 0);
    free(result.reason);
    part.diameter_mm = 20; /* the least that counts as large */
    part.rated_v = 160;
    part.working_v = 128;
    result = decide_one(&job, 40, 2);
    assert_close(result.voltage_factor, 1.747, 5e-4, 0);
    free(result.reason);
    part.diameter_mm = 25;
    part.rated_v = 100;
    result = decide_one(&job, 40, 2);
    assert_close(result.voltage_factor, 1, 0, 0);
    free(result.reason);
}

static void a_reading_under_the_told_bound_clears_and_one_over_does_not(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.service_ambient_c = 27;
    job.policy.cover_rise_k = 2;
    sf_part_result result = decide_one(&job, 18, 6);
    assert_int_equal(result.rule, SF_RULE_DOUBT);
    double clear_rise_k = result.clear_below_c - job.board.ambient_c;
    free(result.reason);
    sf_part_result under = decide_one(&job, clear_rise_k - 0.01, 0);
    sf_part_result over = decide_one(&job, clear_rise_k + 0.01, 0);
    assert_true(under.past_life < 0.05);
    assert_true(over.past_life > 0.05);
    assert_true(isnan(under.clear_below_c));
    free(under.reason);
    free(over.reason);
}

static void an_estimate_that_is_no_number_is_refused(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    const sf_estimate wrong[] = {{NAN, 1}, {INFINITY, 1}, {20, NAN}, {20, INFINITY}, {20, -0.1}};
    for (size_t i = 0; i < 5; i++) {
        sf_part_result *results = (sf_part_result *)&job;
        assert_int_equal(sf_parts_decide(&job, &wrong[i], &results), SF_ERROR_ARGUMENT);
        assert_null(results);
    }
}

static void a_job_without_parts_has_no_results(void **state)
{
    (void)state;
    sf_job job = plain_job(NULL, 0);
    sf_part_result *results = NULL;
    assert_int_equal(sf_parts_decide(&job, NULL, &results), SF_OK);
    assert_non_null(results);
    sf_part_results_free(results, 0);
    sf_part_results_free(NULL, 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(temperature_is_rise_over_the_air_in_service_and_the_covers),
        cmocka_unit_test(case_against_board_adds_to_the_doubt_of_used_only),
        cmocka_unit_test(an_unmarked_part_is_taken_for_the_lowest_common_grade),
        cmocka_unit_test(hours_left_are_the_boards_at_todays_temperature_and_duty),
        cmocka_unit_test(a_part_past_its_life_has_no_hours_left),
        cmocka_unit_test(a_seal_of_exactly_the_advised_age_still_counts_as_sound),
        cmocka_unit_test(a_part_never_stressed_is_not_used),
        cmocka_unit_test(ripple_counts_where_the_can_was_not_read_itself),
        cmocka_unit_test(less_ripple_earns_life_only_where_the_endurance_is_stated_with_it),
        cmocka_unit_test(air_and_hours_widen_the_share_used),
        cmocka_unit_test(a_doubt_that_is_mostly_the_airs_asks_for_no_reading_of_the_board),
        cmocka_unit_test(no_years_are_left_beyond_the_age_of_the_seals),
        cmocka_unit_test(a_can_that_was_read_says_nothing_of_its_neighbours_ripple),
        cmocka_unit_test(voltage_earns_life_only_in_large_cans_and_where_the_policy_says),
        cmocka_unit_test(a_reading_under_the_told_bound_clears_and_one_over_does_not),
        cmocka_unit_test(an_estimate_that_is_no_number_is_refused),
        cmocka_unit_test(a_job_without_parts_has_no_results),
    };
    return cmocka_run_group_tests_name("decide", tests, NULL, NULL);
}
