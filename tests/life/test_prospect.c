/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What-if questions on parts whose doubts are zero, so that every number follows by hand. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include "life/fixture.h"
#include "spotfield/life.h"

enum { PARTS = 3 };

/* Three 85 C parts of 2,000, 5,000 and 10,000 h at rises of 32, 30.5 and 21 K over air of 23 C. */
typedef struct shelf {
    sf_part parts[PARTS];
    sf_job job;
    sf_estimate rises_k[PARTS];
    sf_part_result *results;
} shelf;

static void shelf_set(shelf *on)
{
    static const double endurance_h[PARTS] = {2000, 5000, 10000}, rise_k[PARTS] = {32, 30.5, 21};
    static const char *const refs[PARTS] = {"C1", "C2", "C3"};
    for (size_t i = 0; i < PARTS; i++) {
        on->parts[i] = plain_part(refs[i]);
        on->parts[i].endurance_h = endurance_h[i];
        on->rises_k[i] = (sf_estimate){rise_k[i], 0};
    }
    on->job = plain_job(on->parts, PARTS);
    on->job.policy.case_offset_sd_k = 0;
    on->results = NULL;
}

static sf_prospect ask(shelf *on, sf_what_if asked)
{
    sf_prospect found;
    sf_part_results_free(on->results, PARTS);
    assert_int_equal(sf_parts_decide(&on->job, on->rises_k, &on->results), SF_OK);
    assert_int_equal(sf_parts_prospect(&on->job, on->rises_k, on->results, &asked, &found), SF_OK);
    return found;
}

/* Hours at rated load: the 10-kelvin rule, common practice, no source. */
static double life_h(double endurance_h, double temp_c)
{
    return endurance_h * pow(2, (85 - fmax(temp_c, 40)) / 10);
}

static double worn(double used)
{
    /* Weibull of shape 3 with a tenth worn out at used = 1, computed from the formula */
    return 1 - pow(0.9, used * used * used);
}

static void today_it_repeats_the_decision(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    on.job.policy.case_offset_sd_k = 1.5;
    on.rises_k[1].sd = 2.3;
    sf_prospect found = ask(&on, (sf_what_if){.grade_c = NAN});
    size_t verdicts[SF_VERDICT_COUNT] = {0};
    double worn_out = 0;
    for (size_t i = 0; i < PARTS; i++) {
        verdicts[on.results[i].verdict]++;
        worn_out += on.results[i].worn_out;
    }
    assert_memory_equal(found.verdicts, verdicts, sizeof verdicts);
    assert_close(found.worn_out, worn_out, 1e-9, 0);
    sf_part_results_free(on.results, PARTS);
}

static void hours_to_come_wear_at_the_changed_air_and_the_past_at_its_own(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    double expected = 0;
    static const double endurance_h[PARTS] = {2000, 5000, 10000}, temp_c[PARTS] = {55, 53.5, 44};
    for (size_t i = 0; i < PARTS; i++)
        /* Palmgren and Miner: shares add */
        expected += worn(24000 / life_h(endurance_h[i], temp_c[i]) +
                         7300 / life_h(endurance_h[i], temp_c[i] - 6.5));
    sf_prospect found = ask(&on, (sf_what_if){.air_k = -6.5, .grade_c = NAN, .hours = 7300});
    assert_close(found.worn_out, expected, 1e-6, 0);
    sf_part_results_free(on.results, PARTS);
}

static void ten_kelvins_colder_the_rest_of_a_life_lasts_twice_as_long(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    sf_prospect as_is = ask(&on, (sf_what_if){.grade_c = NAN});
    sf_prospect colder = ask(&on, (sf_what_if){.air_k = -10, .grade_c = NAN});
    /* C1 is past its rated life; C2 is next */
    assert_int_equal(as_is.next_part, 1);
    double left_h = (1 - 24000 / life_h(5000, 53.5)) * life_h(5000, 53.5);
    assert_close(as_is.next_h, left_h, 1e-9, 0);
    assert_close(colder.next_h, 2 * left_h, 1e-9, 0);
    assert_close(colder.worn_out, as_is.worn_out, 1e-9, 0);
    assert_true(isnan(as_is.next_years));
    on.job.board.hours_per_year = 1460;
    as_is = ask(&on, (sf_what_if){.grade_c = NAN});
    assert_close(as_is.next_years, left_h / 1460, 1e-9, 0);
    sf_part_results_free(on.results, PARTS);
}

static void a_share_of_the_rise_counts_for_the_hours_to_come_only(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    const sf_estimate kept[PARTS] = {{0.9, 0}, {0.62, 0}, {0.7, 0}};
    double expected = 0;
    static const double endurance_h[PARTS] = {2000, 5000, 10000}, rise_k[PARTS] = {32, 30.5, 21};
    for (size_t i = 0; i < PARTS; i++)
        expected += worn(24000 / life_h(endurance_h[i], 23 + rise_k[i]) +
                         9100 / life_h(endurance_h[i], 23 + kept[i].value * rise_k[i]));
    sf_prospect found = ask(&on, (sf_what_if){.rise_shares = kept, .grade_c = NAN, .hours = 9100});
    assert_close(found.worn_out, expected, 1e-6, 0);
    sf_part_results_free(on.results, PARTS);
}

static void the_doubt_of_a_rise_share_is_averaged_over_and_may_change_a_verdict(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    sf_estimate kept[PARTS] = {{0.9, 0}, {0.62, 0}, {0.7, 0}};
    sf_what_if asked = {.rise_shares = kept, .grade_c = NAN, .hours = 30000};
    sf_prospect sure = ask(&on, asked);
    kept[1].sd = 0.2;
    sf_prospect unsure = ask(&on, asked);
    /* C2 by Gauss and Hermite's nodes at 0 and sqrt 3 sds of the log share, Abramowitz and Stegun
     * 25.4.46: 0.62 and 0.62 exp(-+0.5587), the larger held at 1, where its life is used up */
    double past = 24000 / life_h(5000, 53.5), step = sqrt(3) * 0.2 / 0.62;
    double middle = past + 30000 / life_h(5000, 23 + 0.62 * 30.5);
    double low = past + 30000 / life_h(5000, 23 + 0.62 * exp(-step) * 30.5);
    double high = past + 30000 / life_h(5000, 53.5);
    assert_true(middle < 1 && high > 1);
    assert_close(unsure.worn_out - sure.worn_out, (worn(low) + worn(high)) / 6 - worn(middle) / 3,
                 1e-6, 1e-9);
    /* a sixth of a chance to be past its rated life asks for a check */
    assert_int_equal(sure.verdicts[SF_CHECK] + 1, unsure.verdicts[SF_CHECK]);
    assert_int_equal(sure.verdicts[SF_LEAVE] - 1, unsure.verdicts[SF_LEAVE]);
    sf_part_results_free(on.results, PARTS);
}

static void a_part_to_replace_starts_anew_at_the_grade_asked(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    sf_prospect found = ask(&on, (sf_what_if){.grade_c = 105, .hours = 12000});
    assert_int_equal(on.results[0].verdict, SF_REPLACE);
    /* C1 anew: 2,000 h at 105 C, the lowest common endurance of the grade */
    double expected = worn(12000 / (2000 * pow(2, (105 - 55) / 10.0))) +
                      worn((24000 + 12000) / life_h(5000, 53.5)) +
                      worn((24000 + 12000) / life_h(10000, 44));
    assert_close(found.worn_out, expected, 1e-6, 0);
    sf_part_results_free(on.results, PARTS);
}

static void a_part_changed_since_keeps_its_own_past(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    sf_period lived[2] = {{16000, 23, 1, NULL}, {8000, 31, 0.8, NULL}};
    on.job.periods = lived;
    on.job.period_count = 2;
    on.parts[1].hours = 3000;
    sf_prospect found = ask(&on, (sf_what_if){.grade_c = NAN, .hours = 5000});
    double expected = worn(16000 / life_h(2000, 55) + 8000 / life_h(2000, 31 + 0.8 * 32) +
                           5000 / life_h(2000, 55)) +
                      worn(2000 / life_h(5000, 53.5) + 1000 / life_h(5000, 31 + 0.8 * 30.5) +
                           5000 / life_h(5000, 53.5)) +
                      worn(16000 / life_h(10000, 44) + 8000 / life_h(10000, 31 + 0.8 * 21) +
                           5000 / life_h(10000, 44));
    assert_close(found.worn_out, expected, 1e-6, 0);
    sf_part_results_free(on.results, PARTS);
}

static void hours_to_come_bring_the_goal_nearer(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    on.job.board.service_goal_h = 20000;
    /* C2 has 20,383 h left today, and 13,383 for a goal of 13,000 once 7,000 have passed */
    sf_prospect now = ask(&on, (sf_what_if){.grade_c = NAN});
    sf_prospect later = ask(&on, (sf_what_if){.grade_c = NAN, .hours = 7000});
    assert_int_equal(now.verdicts[SF_LEAVE], 2);
    assert_int_equal(later.verdicts[SF_LEAVE], 2);
    sf_part_results_free(on.results, PARTS);
}

/* As if the files said so: 36,000 h, of which only the 24,000 that have passed are in doubt. */
static void only_hours_that_have_passed_are_in_doubt(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    on.job.board.run_hours_sd_pct = 17;
    sf_prospect found = ask(&on, (sf_what_if){.grade_c = NAN, .hours = 12000});
    on.job.board.run_hours = 36000;
    on.job.board.run_hours_sd = 0.17 * 24000;
    sf_prospect told = ask(&on, (sf_what_if){.grade_c = NAN});
    assert_close(found.worn_out, told.worn_out, 1e-9, 0);
    sf_part_results_free(on.results, PARTS);
}

/* A part put in on the day of the survey has no age of its own to be old by, also where no date is
 * told; the years to come make it and its seals older. */
static void years_to_come_age_the_seals(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    for (size_t i = 0; i < PARTS; i++) {
        on.parts[i].critical = true;
        on.parts[i].endurance_h = 10000;
    }
    on.job.board.hours_per_year = 1000;
    on.job.board.run_hours = 900;
    /* made 2009, surveyed mid 2021: 15 years are over in 2024 */
    sf_prospect now = ask(&on, (sf_what_if){.grade_c = NAN, .hours = 2000});
    sf_prospect later = ask(&on, (sf_what_if){.grade_c = NAN, .hours = 4000});
    assert_int_equal(now.verdicts[SF_LEAVE], PARTS);
    assert_int_equal(later.verdicts[SF_REPLACE], PARTS);
    sf_part_results_free(on.results, PARTS);
}

static void a_new_part_of_a_lower_grade_keeps_what_the_old_one_promised(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    on.parts[0].condition = SF_CONDITION_BULGED;
    on.parts[0].endurance_h = 3000;
    on.job.board.survey_year = NAN;
    sf_prospect found = ask(&on, (sf_what_if){.grade_c = 85, .hours = 12000});
    double expected = worn(12000 / life_h(3000, 55)) + worn((24000 + 12000) / life_h(5000, 53.5)) +
                      worn((24000 + 12000) / life_h(10000, 44));
    assert_close(found.worn_out, expected, 1e-6, 0);
    sf_part_results_free(on.results, PARTS);
}

static void unknown_hours_stay_unknown(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    on.job.board.run_hours = NAN;
    sf_prospect found = ask(&on, (sf_what_if){.air_k = -5, .grade_c = NAN, .hours = 4000});
    assert_int_equal(found.verdicts[SF_CHECK], PARTS);
    assert_true(isnan(found.worn_out) && isnan(found.next_h));
    assert_true(found.next_part == (size_t)-1);
    sf_part_results_free(on.results, PARTS);
}

static void what_cannot_be_is_refused(void **state)
{
    (void)state;
    shelf on;
    shelf_set(&on);
    ask(&on, (sf_what_if){.grade_c = NAN});
    const sf_estimate none[PARTS] = {{0.5, 0}, {0, 0}, {0.5, 0}};
    const sf_estimate more[PARTS] = {{0.5, 0}, {1.2, 0}, {0.5, 0}};
    const sf_estimate unsure[PARTS] = {{0.5, 0}, {0.5, NAN}, {0.5, 0}};
    const sf_what_if wrong[] = {
        {.air_k = NAN, .grade_c = NAN},        {.hours = -1, .grade_c = NAN},
        {.hours = INFINITY, .grade_c = NAN},   {.rise_shares = none, .grade_c = NAN},
        {.rise_shares = more, .grade_c = NAN}, {.rise_shares = unsure, .grade_c = NAN}};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        sf_prospect kept = {.worn_out = 7.25};
        assert_int_equal(sf_parts_prospect(&on.job, on.rises_k, on.results, &wrong[i], &kept),
                         SF_ERROR_ARGUMENT);
        assert_close(kept.worn_out, 7.25, 0, 0);
    }
    sf_part_results_free(on.results, PARTS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(today_it_repeats_the_decision),
        cmocka_unit_test(hours_to_come_wear_at_the_changed_air_and_the_past_at_its_own),
        cmocka_unit_test(ten_kelvins_colder_the_rest_of_a_life_lasts_twice_as_long),
        cmocka_unit_test(a_share_of_the_rise_counts_for_the_hours_to_come_only),
        cmocka_unit_test(the_doubt_of_a_rise_share_is_averaged_over_and_may_change_a_verdict),
        cmocka_unit_test(a_part_to_replace_starts_anew_at_the_grade_asked),
        cmocka_unit_test(a_part_changed_since_keeps_its_own_past),
        cmocka_unit_test(hours_to_come_bring_the_goal_nearer),
        cmocka_unit_test(only_hours_that_have_passed_are_in_doubt),
        cmocka_unit_test(years_to_come_age_the_seals),
        cmocka_unit_test(a_new_part_of_a_lower_grade_keeps_what_the_old_one_promised),
        cmocka_unit_test(unknown_hours_stay_unknown),
        cmocka_unit_test(what_cannot_be_is_refused),
    };
    return cmocka_run_group_tests_name("prospect", tests, NULL, NULL);
}
