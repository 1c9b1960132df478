/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is told step by step of a part, where something is not known or not as usual. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/fixture.h"

/* The explanation of the only part of a job at a rise; the caller frees it. */
static char *explain(const sf_job *job, double rise_k)
{
    sf_estimate rise = {rise_k, 1.3};
    sf_part_result *results = NULL;
    char *words = NULL;
    assert_int_equal(sf_parts_decide(job, &rise, &results), SF_OK);
    assert_int_equal(sf_part_explain(job, 0, rise, &results[0], &words), SF_OK);
    sf_part_results_free(results, 1);
    return words;
}

static void assert_told(const sf_job *job, double rise_k, const char *expected)
{
    char *words = explain(job, rise_k);
    if (!strstr(words, expected))
        print_error("%s", words);
    assert_non_null(strstr(words, expected));
    free(words);
}

static void hours_are_told_with_where_they_come_from(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    assert_told(&job, 27, "hours = 24000: board.csv, run_hours, the part's share");
    part.hours = 7100;
    assert_told(&job, 27, "hours = 7100: parts.csv, its own hours");
    part.hours = NAN;
    sf_period lived = {9100, 26, 0.8, ""};
    job.periods = &lived;
    job.period_count = 1;
    assert_told(&job, 27, "hours = 9100: history.csv, the part's share");
    job.period_count = 0;
    job.board.run_hours = NAN;
    job.board.hours_per_year = 1600;
    assert_told(&job, 27, "hours = 20000: hours_per_year times age");
    job.board.hours_per_year = NAN;
    assert_told(&job, 27, "hours = not known");
    assert_told(&job, 27, "past_life is not known");
}

static void a_part_never_stressed_has_no_doubt_to_tell(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.duty = 0;
    char *words = explain(&job, 27);
    assert_non_null(strstr(words, "used = sum of the periods = 0\n"));
    assert_null(strstr(words, "90 % interval"));
    free(words);
}

static void the_calendar_is_told_as_far_as_it_is_known(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    assert_told(&job, 17, "age = 12.5 years: within the 15 advised for seals");
    job.board.made_year = 2003;
    assert_told(&job, 17, "age = 18.5 years: past the 15 advised for seals");
    job.board.made_year = 0;
    assert_told(&job, 17, "age = not known");
    assert_told(&job, 17, "no service goal");
    job.board.service_goal_h = 8000;
    assert_told(&job, 17, "goal 8000");
}

static void a_reading_of_capacitance_is_held_against_its_marking(void **state)
{
    (void)state;
    static const struct {
        double measured_uf;
        const char *told;
    } read[] = {{30, "below it: worn"}, {46, "within it"}, {60, "above it: perhaps leaky"}};
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    for (size_t i = 0; i < sizeof read / sizeof *read; i++) {
        part.measured_uf = read[i].measured_uf;
        assert_told(&job, 17, read[i].told);
    }
    /* two controls that scatter: 18 % below a tolerance of 20 % once corrected by 1.06 */
    sf_control controls[] = {{47, 47 * 1.01, ""}, {47, 47 * 1.11, ""}};
    job.controls = controls;
    job.control_count = 2;
    part.measured_uf = 47 * 1.06 * 0.78;
    assert_told(&job, 17, "below it, but within the meter's uncertainty");
}

static void a_reading_of_esr_is_held_against_its_limit(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    part.measured_esr_ohm = 0.9;
    /* 1.3 * 0.14 / (2 pi 120 Hz 47 uF) = 5.13591 ohm, at 100 kHz (1 + 0.12 ln 1.2 / ln 3)^2 / 1.3^2
     * of it: computed */
    assert_told(&job, 17, "at 100000 Hz = 3.161 ohm");
    part.rated_v = NAN;
    assert_told(&job, 17, "ESR = 0.9 ohm: no limit to judge it by");
    static const struct {
        double limit_ohm;
        const char *told;
    } limits[] = {{1.1, "within it"}, {0.7, "above the limit"}, {0.4, "times that: worn"}};
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
        part.esr_limit_ohm = limits[i].limit_ohm;
        assert_told(&job, 17, limits[i].told);
    }
}

static void the_credit_for_voltage_is_told(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    assert_told(&job, 17, "1 for cans under 20 mm or 160 V");
    part.diameter_mm = 25;
    part.rated_v = 400;
    part.working_v = 320;
    job.policy.voltage_exponent = 2.5;
    assert_told(&job, 17, "(working/rated)^-n");
}

static void a_part_that_is_not_there_is_refused(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    sf_part_result none = {0};
    char *words = NULL;
    assert_int_equal(sf_part_explain(&job, 1, (sf_estimate){9, 1}, &none, &words),
                     SF_ERROR_ARGUMENT);
    assert_null(words);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hours_are_told_with_where_they_come_from),
        cmocka_unit_test(a_part_never_stressed_has_no_doubt_to_tell),
        cmocka_unit_test(the_calendar_is_told_as_far_as_it_is_known),
        cmocka_unit_test(a_reading_of_capacitance_is_held_against_its_marking),
        cmocka_unit_test(a_reading_of_esr_is_held_against_its_limit),
        cmocka_unit_test(the_credit_for_voltage_is_told),
        cmocka_unit_test(a_part_that_is_not_there_is_refused),
    };
    return cmocka_run_group_tests_name("explain", tests, NULL, NULL);
}
