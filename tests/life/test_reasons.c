/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whole parts through the line: in which words their verdicts are told. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/fixture.h"

static void check_reason(sf_part_result *result, sf_rule rule, const char *expected)
{
    if (result->rule != rule || strcmp(result->reason, expected) != 0)
        print_error("rule %d: %s\n", (int)result->rule, result->reason);
    assert_int_equal(result->rule, rule);
    assert_string_equal(result->reason, expected);
    free(result->reason);
}

static void check_told(const sf_job *job, double rise_k, double sd_k, sf_rule rule,
                       const char *expected)
{
    sf_part_result result = decide_one(job, rise_k, sd_k);
    check_reason(&result, rule, expected);
}

static void where_no_reading_would_clear_a_part_it_is_said(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = 40000; /* 0.884 of the life on the floor */
    job.board.run_hours_sd = 4800;
    sf_part_result result = decide_one(&job, 17, 5);
    assert_true(isnan(result.clear_below_c));
    check_reason(&result, SF_RULE_DOUBT,
                 "40,000 h of 45,300 h rated life at 40 ± 5 C: 88 % used, 44 % likely past it; no "
                 "reading would clear it: measure capacitance and ESR");
}

static void replaced_for_its_life_a_part_is_told_with_interval_and_certainty(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    sf_part_result result = decide_one(&job, 34.3, 1.6);
    assert_int_equal(result.verdict, SF_REPLACE);
    check_reason(&result, SF_RULE_PAST_LIFE,
                 "24,000 h of 13,600 h rated life at 57 ± 2 C: 176 % used (90 %: 137 to 226 %), "
                 "over 99 % likely past it");
}

static void an_assumed_endurance_is_said(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.endurance_h = NAN;
    check_told(&job, 21.6, 0.7, SF_RULE_PAST_LIFE,
               "24,000 h of 16,400 h rated life at 45 ± 1 C (1,000 h at 85 C assumed): 146 % used "
               "(90 %: 80 to 267 %), 85 % likely past it, by hours and grade alone");
}

static void heat_and_meter_that_disagree_are_told(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    sf_control controls[] = {{47, 50.25, ""}};
    job.controls = controls;
    job.control_count = 1;
    part.measured_uf = 52.05;
    sf_part_result result = decide_one(&job, 34.3, 1.6);
    assert_close(result.reading_pct, 3.6, 0, 0.05);
    check_reason(&result, SF_RULE_PAST_LIFE,
                 "24,000 h of 13,600 h rated life at 57 ± 2 C: 176 % used (90 %: 137 to 226 %), "
                 "over 99 % likely past it; yet the meter reads fine (+3.6 %)");
    part.measured_uf = 31.2;
    result = decide_one(&job, 9, 1);
    assert_true(result.worn_by_evidence);
    check_reason(
        &result, SF_RULE_EVIDENCE,
        "worn: reads 31.2 uF, -33.6 % against its marking, -37.9 % against new parts, limit "
        "-20 %; heat alone would not say so (53 % used)");
}

static void a_check_of_what_the_meter_finds_fine_asks_for_no_second_reading_today(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.service_goal_h = 90000;
    part.measured_uf = 48.5;
    sf_part_result result = decide_one(&job, 9, 0.5);
    assert_int_equal(result.rule, SF_RULE_MEASURE);
    assert_non_null(strstr(result.reason, "the meter reads fine (+3.2 %)"));
    assert_non_null(strstr(result.reason, "measure again at the next service"));
    assert_null(strstr(result.reason, "measure capacitance"));
    free(result.reason);
    part.critical = true;
    job.board.made_year = 1990;
    job.board.run_hours = 4000;
    result = decide_one(&job, 9, 0.5);
    assert_int_equal(result.rule, SF_RULE_CRITICAL);
    assert_non_null(strstr(result.reason, "; the meter reads fine (+3.2 %)"));
    free(result.reason);
}

static void evidence_that_agrees_with_heat_is_told(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.condition = SF_CONDITION_BULGED;
    part.measured_esr_ohm = 4.25;
    part.esr_limit_ohm = 1.5;
    check_told(&job, 34.3, 1.6, SF_RULE_EVIDENCE,
               "worn: bulged; ESR 4.25 ohm, limit 1.5; heat says so too (176 % used)");
    part.condition = SF_CONDITION_LEAKING;
    part.measured_esr_ohm = NAN;
    part.measured_uf = 29.14;
    job.board.run_hours = NAN;
    check_told(&job, 34.3, 1.6, SF_RULE_EVIDENCE,
               "worn: leaking; reads 29.14 uF, -38.0 % against its marking, limit -20 %");
}

static void a_critical_part_tells_what_condemns_it(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.critical = true;
    part.year = 1998;
    sf_part_result result = decide_one(&job, 9, 1);
    assert_close(result.age_years, 23.5, 1e-14, 0);
    check_reason(&result, SF_RULE_CRITICAL,
                 "critical and 23 years old (15 advised for seals); 24,000 h of 45,300 h rated "
                 "life at 32 ± 1 C: 53 % used");
    part.year = 0;
    check_told(&job, 24.5, 1, SF_RULE_CRITICAL,
               "critical: 24,000 h of 26,900 h rated life at 48 ± 1 C: 89 % used (90 %: 73 to "
               "110 %), 18 % likely past it");
}

static void a_doubtful_temperature_is_told_with_where_and_what_to_read(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    check_told(&job, 22.5, 5.2, SF_RULE_DOUBT,
               "24,000 h of 30,900 h rated life at 46 ± 5 C: 78 % used, 25 % likely past it; read "
               "its can at (31, 17): under 47 C on the bench clears it");
}

static void in_a_no_touch_area_only_infrared_is_asked_for(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    sf_point corners[] = {{3, 3}, {62, 3}, {62, 30}, {3, 30}};
    sf_ring mains = {.points = corners, .count = 4};
    job.keepouts = &mains;
    job.keepout_count = 1;
    check_told(&job, 22.5, 5.2, SF_RULE_DOUBT,
               "46 ± 5 C: 78 % of its rated life used, 25 % likely past it; read "
               "its can at (31, 17), infrared only: under 47 C on the bench clears it");
    corners[1].x_mm = corners[2].x_mm = 30.5; /* the can reaches into it */
    sf_part_result result = decide_one(&job, 22.5, 5.2);
    assert_non_null(strstr(result.reason, "infrared only"));
    free(result.reason);
    corners[1].x_mm = corners[2].x_mm = 15; /* a can's radius and 5 mm away, and more */
    result = decide_one(&job, 22.5, 5.2);
    assert_null(strstr(result.reason, "infrared"));
    free(result.reason);
}

static void what_asks_for_the_meter_is_told(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.service_goal_h = 20000;
    part.year = 2003;
    check_told(&job, 20.5, 0.5, SF_RULE_MEASURE,
               "44 ± 1 C: 68 % of its rated life used, 11,500 h left of the 20,000 h goal, 18 "
               "years old (15 advised for seals); measure capacitance and ESR");
    job.board.service_goal_h = NAN;
    part.year = 0;
    part.measured_uf = 63.9;
    check_told(&job, 9, 0.5, SF_RULE_MEASURE,
               "24,000 h of 45,300 h rated life at 32 ± 1 C: 53 % used, reads +36.0 %, above +20 "
               "%: perhaps leaky; measure capacitance and ESR");
    part.measured_uf = NAN;
    part.measured_esr_ohm = 0.9;
    part.esr_limit_ohm = 0.6;
    job.board.run_hours_sd = 7200;
    check_told(&job, 18, 0.5, SF_RULE_MEASURE,
               "24,000 h of 42,200 h rated life at 41 ± 1 C: 57 % used (90 %: 35 to 97 %), ESR "
               "0.9 ohm, limit 0.6; measure capacitance and ESR");
}

static void the_age_of_little_worn_seals_asks_for_nothing(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.year = 2003;
    part.hours = 9000;
    job.board.service_goal_h = 40000;
    check_told(&job, 9, 1, SF_RULE_MEASURE,
               "9,000 h of 45,300 h rated life at 32 ± 1 C: 20 % used, 36,300 h left of the "
               "40,000 h goal; measure capacitance and ESR");
}

static void a_reading_within_the_meters_doubt_is_told(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    sf_control controls[] = {{47, 44.2, ""}, {47, 49.8, ""}};
    job.controls = controls;
    job.control_count = 2;
    part.measured_uf = 37;
    check_told(&job, 9, 1, SF_RULE_MEASURE,
               "24,000 h of 45,300 h rated life at 32 ± 1 C: 53 % used, reads -21.3 %, below -20 "
               "% by less than the meter's uncertainty; measure capacitance and ESR");
}

static void unknown_hours_ask_for_the_meter(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = NAN;
    sf_part_result result = decide_one(&job, 9, 1);
    assert_int_equal(result.verdict, SF_CHECK);
    assert_true(isnan(result.hours) && isnan(result.used) && isnan(result.used_low));
    assert_true(isnan(result.used_high) && isnan(result.past_life) && isnan(result.worn_out));
    assert_true(isnan(result.left_h) && isnan(result.left_years));
    check_reason(&result, SF_RULE_MEASURE,
                 "32 ± 1 C, run hours unknown; measure capacitance and ESR");
}

static void hours_guessed_from_years_are_said(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = NAN;
    job.board.hours_per_year = 820;
    part.duty = 0.5;
    check_told(&job, 9, 1, SF_RULE_LEAVE,
               "5,125 h stressed (at 820 a year) of 45,300 h rated life at 32 ± 1 C: 11 % used "
               "(90 %: 7.5 to 17 %), 2.5 years until its seals are older than advised");
}

static void a_cool_part_of_long_life_is_told_no_more_than_fifteen_years(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.rated_c = 105;
    part.endurance_h = 5000;
    job.board.hours_per_year = 7300;
    job.board.made_year = 0; /* no age by which its seals would end */
    sf_part_result result = decide_one(&job, 19, 0.8);
    assert_close(result.life_h, 131400, 0, 0);
    assert_close(result.left_h, 131400, 0, 0);
    assert_close(result.left_years, 18, 1e-12, 0);
    assert_close(result.used, 24000 / (5000 * exp2(6.3)), 1e-12, 0);
    check_reason(&result, SF_RULE_LEAVE,
                 "24,000 h at 42 ± 1 C: 6.1 % of its rated life used (90 %: 5.3 to 7.4 %), over 18 "
                 "years left at today's use");
}

static void a_leave_justifies_itself(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.year = 2003;
    part.hours = 8200;
    part.measured_uf = 46.06;
    job.board.hours_per_year = 2000;
    check_told(&job, 26, 1, SF_RULE_LEAVE,
               "8,200 h of 24,300 h rated life at 49 ± 1 C: 34 % used (90 %: 28 to 42 %); 18 years "
               "old (15 advised for seals), but the meter reads fine (-2.0 %)");
    part.year = 0;
    part.measured_uf = NAN;
    part.measured_esr_ohm = 0.2;
    part.esr_limit_ohm = 0.7;
    job.board.hours_per_year = NAN;
    check_told(&job, 26, 1, SF_RULE_LEAVE,
               "8,200 h of 24,300 h rated life at 49 ± 1 C: 34 % used (90 %: 28 to 42 %), 16,100 "
               "h left; meter reads fine");
    part.hours = 12;
    part.rated_c = 105;
    check_told(&job, 10, 1, SF_RULE_LEAVE,
               "12 h at 33 ± 1 C: under 0.1 % of its rated life used, over 131,400 h left; meter "
               "reads fine");
}

static void old_seals_of_a_little_worn_part_are_told_and_leave_it(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.year = 1994;
    part.hours = 8200;
    job.board.hours_per_year = 700;
    check_told(&job, 26, 1, SF_RULE_LEAVE,
               "8,200 h of 24,300 h rated life at 49 ± 1 C: 34 % used (90 %: 28 to 42 %); 27 "
               "years old (15 advised for seals), but little worn");
}

static void a_part_above_its_rating_is_flagged(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    sf_part_result result = decide_one(&job, 72, 1);
    /* computed: 10 K over the rating halves the life */
    assert_close(result.life_h, 1000, 1e-14, 0);
    check_reason(&result, SF_RULE_PAST_LIFE,
                 "24,000 h of 1,000 h rated life at 95 ± 1 C (above its 85 C rating): 2,400 % used "
                 "(90 %: 1,954 to 2,948 %), over 99 % likely past it");
    result = decide_one(&job, 62, 1);
    assert_null(strstr(result.reason, "rating"));
    free(result.reason);
}

static void a_history_is_told_by_its_periods(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    sf_period periods[] = {{4000, 23, 1, ""}, {3000, 33, 1.1, ""}};
    job.periods = periods;
    job.period_count = 2;
    part.endurance_h = NAN;
    part.rated_c = 105;
    check_told(&job, 12, 1, SF_RULE_LEAVE,
               "7,000 h in 2 periods, now at 35 ± 1 C (2,000 h at 105 C assumed): 4.8 % of its "
               "rated life used (90 %: 2.6 to 8.6 %), over 131,400 h left");
    job.period_count = 1;
    sf_part_result result = decide_one(&job, 12, 1);
    assert_non_null(strstr(result.reason, "4,000 h in 1 period, now at 35 ± 1 C ("));
    free(result.reason);
}

/* Reasons keep to the line's length whatever is told in them. */
static void reasons_fit_a_line_of_a_report(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.service_goal_h = 30000;
    job.board.hours_per_year = 1900;
    size_t longest = 0;
    for (int i = 0; i < 1900; i++) {
        part.critical = i % 13 == 0;
        part.duty = i % 17 == 0 ? 0.4 : 1;
        part.endurance_h = i % 3 == 0 ? 2000 : (double)NAN;
        part.year = 1995 + i % 24;
        part.measured_uf = i % 5 == 0 ? 36.0 + i % 29 : (double)NAN;
        sf_part_result result = decide_one(&job, 7 + i % 43, 0.4 + i % 7);
        size_t length = strlen(result.reason);
        longest = length > longest ? length : longest;
        assert_in_range(length, 1, 150);
        assert_null(strstr(result.reason, "nan"));
        assert_null(strstr(result.reason, "inf"));
        free(result.reason);
    }
    assert_in_range(longest, 140, 150);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(where_no_reading_would_clear_a_part_it_is_said),
        cmocka_unit_test(replaced_for_its_life_a_part_is_told_with_interval_and_certainty),
        cmocka_unit_test(an_assumed_endurance_is_said),
        cmocka_unit_test(heat_and_meter_that_disagree_are_told),
        cmocka_unit_test(a_check_of_what_the_meter_finds_fine_asks_for_no_second_reading_today),
        cmocka_unit_test(evidence_that_agrees_with_heat_is_told),
        cmocka_unit_test(a_critical_part_tells_what_condemns_it),
        cmocka_unit_test(a_doubtful_temperature_is_told_with_where_and_what_to_read),
        cmocka_unit_test(in_a_no_touch_area_only_infrared_is_asked_for),
        cmocka_unit_test(what_asks_for_the_meter_is_told),
        cmocka_unit_test(the_age_of_little_worn_seals_asks_for_nothing),
        cmocka_unit_test(a_reading_within_the_meters_doubt_is_told),
        cmocka_unit_test(unknown_hours_ask_for_the_meter),
        cmocka_unit_test(hours_guessed_from_years_are_said),
        cmocka_unit_test(a_cool_part_of_long_life_is_told_no_more_than_fifteen_years),
        cmocka_unit_test(a_leave_justifies_itself),
        cmocka_unit_test(old_seals_of_a_little_worn_part_are_told_and_leave_it),
        cmocka_unit_test(a_part_above_its_rating_is_flagged),
        cmocka_unit_test(a_history_is_told_by_its_periods),
        cmocka_unit_test(reasons_fit_a_line_of_a_report),
    };
    return cmocka_run_group_tests_name("reasons", tests, NULL, NULL);
}
