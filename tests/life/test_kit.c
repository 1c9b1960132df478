/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The order: grouping, values, grades and notes. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include "life/fixture.h"
#include "life/order.h"

static void the_series_hold_the_values_of_the_standard(void **state)
{
    (void)state;
    /* IEC 60063, series E3, E6 and E12 */
    const double e3[] = {1.0, 2.2, 4.7};
    const double e6[] = {1.0, 1.5, 2.2, 3.3, 4.7, 6.8};
    const double e12[] = {1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2};
    for (double power = 0.1; power < 2e4; power *= 10) {
        for (size_t i = 0; i < 3; i++)
            assert_close(preferred_value(e3[i] * power, SERIES_E3), e3[i] * power, 1e-12, 0);
        for (size_t i = 0; i < 6; i++)
            assert_close(preferred_value(e6[i] * power, SERIES_E6), e6[i] * power, 1e-12, 0);
        for (size_t i = 0; i < 12; i++)
            assert_close(preferred_value(e12[i] * power, SERIES_E12), e12[i] * power, 1e-12, 0);
    }
    assert_close(preferred_value(4.8, SERIES_E3), 10, 1e-12, 0);
    assert_close(preferred_value(690, SERIES_E6), 1000, 1e-12, 0);
}

static void decimal_values_of_old_stock_become_preferred_and_never_smaller(void **state)
{
    (void)state;
    /* markings in use before the series: common practice, no source; choice computed from the rule
     * "E6, or E12 where E6 would raise it by more than a fifth" */
    const double old_uf[] = {8, 16, 20, 25, 32, 40, 50, 64, 100, 250, 470, 500, 0.47, 2500};
    const double new_uf[] = {8.2, 18, 22, 27, 33, 47, 56, 68, 100, 270, 470, 560, 0.47, 2700};
    for (size_t i = 0; i < sizeof old_uf / sizeof old_uf[0]; i++)
        assert_close(preferred_capacitance(old_uf[i]), new_uf[i], 1e-12, 0);
    assert_true(isnan(preferred_capacitance(NAN)));
    assert_true(isnan(preferred_capacitance(0)));
    for (double uf = 0.31; uf < 9000; uf *= 1.037) {
        assert_true(preferred_capacitance(uf) >= 0.995 * uf);
        assert_true(preferred_capacitance(uf) <= 1.24 * uf);
    }
}

static void voltages_are_made_ones_and_never_lower(void **state)
{
    (void)state;
    /* makers' catalogues; the old ratings: common practice, no source */
    const double old_v[] = {3, 6, 6.3, 12, 15, 16, 30, 70, 100, 150, 300, 385, 475, 525};
    const double new_v[] = {6.3, 6.3, 6.3, 16, 16, 16, 35, 80, 100, 160, 350, 400, 500, 525};
    for (size_t i = 0; i < sizeof old_v / sizeof old_v[0]; i++)
        assert_close(preferred_voltage(old_v[i]), new_v[i], 0, 0);
    assert_true(isnan(preferred_voltage(NAN)));
}

static void endurances_are_rounded_up_to_common_ones(void **state)
{
    (void)state;
    assert_close(common_endurance(317), 1000, 0, 0);
    assert_close(common_endurance(2000), 2000, 0, 0);
    assert_close(common_endurance(5001), 7000, 0, 0);
    assert_true(isnan(common_endurance(10001)));
    assert_close(longest_endurance(), 10000, 0, 0);
}

static void references_are_ordered_as_people_count(void **state)
{
    (void)state;
    const char *sorted[] = {"",
                            "C",
                            "C03",
                            "C3",
                            "C3a",
                            "C17",
                            "C17A2",
                            "C17A10",
                            "C99999999999999999999",
                            "C100000000000000000000",
                            "CA2",
                            "D1"};
    size_t count = sizeof sorted / sizeof sorted[0];
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < count; j++) {
            int order = ref_compare(sorted[i], sorted[j]);
            assert_int_equal((order > 0) - (order < 0), (i > j) - (i < j));
        }
}

static sf_part_result result_of(sf_verdict verdict, double temp_c)
{
    return (sf_part_result){.temp_c = temp_c,
                            .endurance_h = 2000,
                            .ripple_factor = 1,
                            .voltage_factor = 1,
                            .verdict = verdict};
}

static sf_kit *make_kit(const sf_job *job, const sf_part_result *results)
{
    sf_kit *kit = NULL;
    assert_int_equal(sf_kit_make(job, results, &kit), SF_OK);
    return kit;
}

static void parts_alike_make_a_line_with_their_count_references_and_spares(void **state)
{
    (void)state;
    sf_part parts[24];
    sf_part_result results[24];
    for (size_t i = 0; i < 24; i++) {
        parts[i] = plain_part("C1");
        results[i] = result_of(SF_REPLACE, 47);
    }
    const char *refs[] = {"C17", "C3", "C101", "C20", "C9", "C40"};
    for (size_t i = 0; i < 6; i++)
        parts[i].ref = (char *)refs[i];
    parts[2].capacitance_uf = 10; /* another value */
    parts[3].rated_v = 63;        /* another voltage */
    parts[4].diameter_mm = 10;    /* another size */
    parts[5].height_mm = 11.5;
    results[6].verdict = SF_LEAVE;
    results[7].verdict = SF_CHECK;
    results[8].verdict = SF_CHECK;
    for (size_t i = 9; i < 24; i++)
        results[i].verdict = SF_LEAVE;
    sf_job job = plain_job(parts, 24);
    sf_kit *kit = make_kit(&job, results);
    assert_int_equal(kit->replaced, 6);
    assert_int_equal(kit->checked, 2);
    assert_int_equal(kit->left, 16);
    assert_int_equal(kit->count, 4);
    const char *lines[] = {"C101", "C3 C17 C40", "C9", "C20"};
    for (size_t i = 0; i < 4; i++)
        assert_string_equal(kit->lines[i].refs, lines[i]);
    assert_int_equal(kit->lines[1].count, 3);
    assert_int_equal(kit->lines[1].spares, 1);
    assert_close(kit->lines[1].height_mm_max, 11.5, 0, 0); /* the only one known fits all */
    assert_true(isnan(kit->lines[0].height_mm_max));
    assert_close(kit->lines[2].diameter_mm_max, 10, 0, 0);
    sf_kit_free(kit);
    sf_kit_free(NULL);
}

/* The only line of a kit of alike parts; free the kit after. */
static sf_kit *one_line(const sf_job *job, const sf_part_result *results)
{
    sf_kit *kit = make_kit(job, results);
    assert_int_equal(kit->count, 1);
    return kit;
}

static void spares_are_a_share_rounded_up_and_not_by_a_hair(void **state)
{
    (void)state;
    enum { MANY = 30 };
    sf_part parts[MANY];
    sf_part_result results[MANY];
    for (size_t i = 0; i < MANY; i++) {
        parts[i] = plain_part("C1");
        results[i] = result_of(SF_REPLACE, 47);
    }
    sf_job job = plain_job(parts, MANY);
    const double shares_pct[] = {0, 10, 11, 100.0 / 3};
    const size_t spares[] = {0, 3, 4, 10};
    for (size_t i = 0; i < 4; i++) {
        job.policy.kit_spare_pct = shares_pct[i];
        sf_kit *kit = one_line(&job, results);
        assert_int_equal(kit->lines[0].count, MANY);
        assert_int_equal(kit->lines[0].spares, spares[i]);
        sf_kit_free(kit);
    }
}

/* Grade and endurance that two parts at these temperatures call for. */
static void check_grade(double goal_h, double cool_c, double hot_c, double old_c, double rated_c,
                        double endurance_h)
{
    sf_part parts[] = {plain_part("C1"), plain_part("C2")};
    sf_part_result results[] = {result_of(SF_REPLACE, cool_c), result_of(SF_REPLACE, hot_c)};
    parts[0].rated_c = old_c;
    sf_job job = plain_job(parts, 2);
    job.board.service_goal_h = goal_h;
    sf_kit *kit = one_line(&job, results);
    assert_close(kit->lines[0].rated_c, rated_c, 0, 0);
    assert_close(kit->lines[0].endurance_h, endurance_h, 0, 0);
    sf_kit_free(kit);
}

static void the_hottest_position_sets_the_grade(void **state)
{
    (void)state;
    /* computed: needed = goal x 1.25 / 2^((grade - T) / 10), T not below 40 C */
    check_grade(12000, 33, 50, 85, 105, 2000); /* 331 h at 105 C; the old one had 2,000 */
    check_grade(9000, 21, 13, 85, 105, 2000);  /* 105 C also where it is cool */
    check_grade(40000, 33, 74, 85, 105, 7000); /* 5,832 h at 105 C */
    check_grade(40000, 74, 33, 85, 105, 7000); /* whichever stands first */
    check_grade(9000, 21, 13, 105, 105, 2000);
    check_grade(40000, 33, 74, 125, 125, 2000); /* 1,458 h at 125 C; never below the old grade */
}

static void without_a_goal_the_endurance_is_not_below_the_old(void **state)
{
    (void)state;
    sf_part parts[] = {plain_part("C1"), plain_part("C2")};
    sf_part_result results[] = {result_of(SF_REPLACE, 70), result_of(SF_REPLACE, 41)};
    parts[1].rated_c = 105;
    parts[0].height_mm = parts[1].height_mm = 12.5;
    parts[0].endurance_h = 5000;
    sf_job job = plain_job(parts, 2);
    sf_kit *kit = one_line(&job, results);
    assert_close(kit->lines[0].rated_c, 105, 0, 0);
    assert_close(kit->lines[0].endurance_h, 5000, 0, 0);
    assert_string_equal(kit->lines[0].note, "no service goal: endurance not below the old one's");
    sf_kit_free(kit);
}

static void duty_spares_endurance_and_ripple_above_the_rating_costs_it(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_part_result result = result_of(SF_REPLACE, 74);
    sf_job job = plain_job(&part, 1);
    job.board.service_goal_h = 40000; /* 5,832 h at 105 C, as above */
    part.duty = 0.5;
    sf_kit *kit = one_line(&job, &result);
    assert_close(kit->lines[0].endurance_h, 3000, 0, 0);
    sf_kit_free(kit);
    result.ripple_factor = 0.4; /* 7,290 h */
    kit = one_line(&job, &result);
    assert_close(kit->lines[0].endurance_h, 10000, 0, 0);
    sf_kit_free(kit);
    result.ripple_factor = 1.7; /* earns nothing */
    kit = one_line(&job, &result);
    assert_close(kit->lines[0].endurance_h, 3000, 0, 0);
    sf_kit_free(kit);
}

static void where_no_common_part_reaches_the_goal_the_hours_to_expect_are_told(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    part.height_mm = 12;
    sf_part_result result = result_of(SF_REPLACE, 72);
    sf_job job = plain_job(&part, 1);
    job.board.service_goal_h = 100000;
    sf_kit *kit = one_line(&job, &result);
    assert_close(kit->lines[0].endurance_h, 10000, 0, 0);
    /* computed: 10,000 h x 2^3.3 = 98,492 h */
    assert_string_equal(kit->lines[0].note,
                        "no common endurance reaches the goal: expect 98,500 h");
    sf_kit_free(kit);
}

static void nothing_is_ordered_that_is_less_than_the_old_part(void **state)
{
    (void)state;
    const double marked_h[] = {1000, 2500, 5000, 8000, 12000};
    const double bought_h[] = {2000, 3000, 5000, 10000, 12000}; /* common ones, not below */
    const double grades_c[] = {70, 85, 105, 125, 150};
    for (size_t i = 0; i < 5; i++)
        for (size_t grade = 0; grade < 5; grade++) {
            sf_part part = plain_part("C1");
            part.endurance_h = marked_h[i];
            part.rated_c = grades_c[grade];
            part.height_mm = 12;
            sf_part_result result = result_of(SF_REPLACE, 47);
            sf_job job = plain_job(&part, 1);
            job.board.service_goal_h = 9000;
            sf_kit *kit = one_line(&job, &result);
            assert_close(kit->lines[0].endurance_h, bought_h[i], 0, 0);
            assert_close(kit->lines[0].rated_c, fmax(grades_c[grade], 105), 0, 0);
            assert_string_equal(kit->lines[0].note, "");
            sf_kit_free(kit);
        }
}

static void an_unmarked_old_part_gets_the_common_endurance(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    part.endurance_h = NAN;
    sf_part_result result = result_of(SF_REPLACE, 47);
    sf_job job = plain_job(&part, 1);
    sf_kit *kit = one_line(&job, &result);
    assert_close(kit->lines[0].endurance_h, 2000, 0, 0); /* policy endurance_105_h */
    sf_kit_free(kit);
    part.type = SF_TYPE_TANTALUM; /* none is marked with one */
    part.rated_c = 125;
    kit = one_line(&job, &result);
    assert_true(isnan(kit->lines[0].endurance_h));
    assert_close(kit->lines[0].rated_c, 125, 0, 0);
    sf_kit_free(kit);
}

static void mount_pitch_type_and_esr_class_make_lines_of_their_own(void **state)
{
    (void)state;
    sf_part parts[] = {plain_part("C1"), plain_part("C2"), plain_part("C3"),
                       plain_part("C4"), plain_part("C5"), plain_part("C6")};
    sf_part_result results[6];
    for (size_t i = 0; i < 6; i++)
        results[i] = result_of(SF_REPLACE, 47);
    parts[1].mount = SF_FORM_AXIAL;
    parts[2].lead_pitch_mm = 3.5;
    parts[3].type = SF_TYPE_BIPOLAR;
    parts[4].low_esr = true;
    parts[5].height_mm = 20; /* the height does not */
    sf_job job = plain_job(parts, 6);
    sf_kit *kit = make_kit(&job, results);
    assert_int_equal(kit->count, 5);
    size_t counted = 0;
    for (size_t i = 0; i < kit->count; i++) {
        counted += kit->lines[i].count;
        if (kit->lines[i].count == 2)
            assert_string_equal(kit->lines[i].refs, "C1 C6");
    }
    assert_int_equal(counted, 6);
    sf_kit_free(kit);
}

static void ripple_and_esr_of_the_old_parts_are_asked_for(void **state)
{
    (void)state;
    sf_part parts[] = {plain_part("C1"), plain_part("C2"), plain_part("C3")};
    sf_part_result results[] = {result_of(SF_REPLACE, 47), result_of(SF_REPLACE, 47),
                                result_of(SF_REPLACE, 47)};
    parts[0].rated_ripple_a = 0.61;
    parts[1].ripple_a = 0.83; /* more than it was rated for */
    parts[1].rated_ripple_a = 0.7;
    parts[1].esr_limit_ohm = 0.27;
    parts[2].esr_limit_ohm = 0.19;
    sf_job job = plain_job(parts, 3);
    sf_kit *kit = one_line(&job, results);
    assert_close(kit->lines[0].ripple_a_min, 0.83, 0, 0);
    assert_close(kit->lines[0].esr_ohm_max, 0.19, 0, 0);
    sf_kit_free(kit);
    parts[0].rated_ripple_a = parts[1].ripple_a = parts[1].rated_ripple_a = NAN;
    kit = one_line(&job, results);
    assert_true(isnan(kit->lines[0].ripple_a_min));
    sf_kit_free(kit);
}

static void a_line_is_described_as_a_buyer_searches_for_it(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    part.mount = SF_FORM_SNAP_IN;
    part.lead_pitch_mm = 10;
    part.height_mm = 36.5;
    part.low_esr = true;
    sf_part_result result = result_of(SF_REPLACE, 47);
    sf_job job = plain_job(&part, 1);
    sf_kit *kit = one_line(&job, &result);
    assert_string_equal(kit->lines[0].description,
                        "Aluminium electrolytic capacitor, snap-in, 47 uF, 25 V, 105 C, at least "
                        "2,000 h, at most 8 mm wide, at most 36.5 mm high, pitch 10 mm, low ESR");
    sf_kit_free(kit);
    part = plain_part("C1");
    part.type = SF_TYPE_FILM;
    kit = one_line(&job, &result);
    assert_string_equal(kit->lines[0].description,
                        "Film capacitor, 47 uF, 25 V, 85 C, at most 8 mm wide");
    sf_kit_free(kit);
}

static void what_differs_from_the_old_part_is_noted(void **state)
{
    (void)state;
    sf_part parts[] = {plain_part("C1"), plain_part("C2"), plain_part("C3")};
    parts[0].capacitance_uf = 47;
    parts[1].capacitance_uf = 40;
    parts[2].capacitance_uf = 40;
    for (size_t i = 0; i < 3; i++)
        parts[i].height_mm = 12;
    parts[0].rated_v = 25;
    parts[1].rated_v = 24;
    parts[2].rated_v = 20;
    sf_part_result results[] = {result_of(SF_REPLACE, 47), result_of(SF_REPLACE, 47),
                                result_of(SF_REPLACE, 47)};
    sf_job job = plain_job(parts, 3);
    job.board.service_goal_h = 20000; /* 552 h at 105 C */
    sf_kit *kit = one_line(&job, results);
    assert_close(kit->lines[0].capacitance_uf, 47, 0, 0);
    assert_close(kit->lines[0].rated_v, 25, 0, 0);
    assert_string_equal(kit->lines[0].note, "replaces 40 uF; replaces 24 V");
    sf_kit_free(kit);
}

static void a_voltage_in_use_above_the_old_rating_is_held(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    part.working_v = 27.5;
    sf_part_result result = result_of(SF_REPLACE, 47);
    sf_job job = plain_job(&part, 1);
    job.board.service_goal_h = 20000; /* 552 h at 105 C */
    sf_kit *kit = one_line(&job, &result);
    assert_close(kit->lines[0].rated_v, 35, 0, 0);
    assert_string_equal(kit->lines[0].note, "replaces 25 V; height unknown: check the headroom");
    sf_kit_free(kit);
}

static void what_is_unknown_of_a_part_is_noted_and_comes_last(void **state)
{
    (void)state;
    sf_part parts[] = {plain_part("C1"), plain_part("C2"), plain_part("C3")};
    for (size_t i = 0; i < 3; i++)
        parts[i].height_mm = 12;
    parts[0].capacitance_uf = NAN;
    parts[0].rated_v = NAN;
    parts[1].rated_v = NAN;
    sf_part_result results[] = {result_of(SF_REPLACE, 47), result_of(SF_REPLACE, 47),
                                result_of(SF_REPLACE, 47)};
    sf_job job = plain_job(parts, 3);
    job.board.service_goal_h = 20000; /* 552 h at 105 C */
    sf_kit *kit = make_kit(&job, results);
    assert_int_equal(kit->count, 3);
    assert_string_equal(kit->lines[0].note, "");
    assert_string_equal(kit->lines[1].note, "voltage unknown: take it from the schematic");
    assert_string_equal(kit->lines[2].note, "value unknown: take it from the schematic; voltage "
                                            "unknown: take it from the schematic");
    assert_true(isnan(kit->lines[2].capacitance_uf) && isnan(kit->lines[2].rated_v));
    sf_kit_free(kit);
}

static void a_board_that_keeps_all_its_parts_needs_no_kit(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_part_result result = result_of(SF_LEAVE, 47);
    sf_job job = plain_job(&part, 1);
    sf_kit *kit = make_kit(&job, &result);
    assert_int_equal(kit->count, 0);
    assert_int_equal(kit->left, 1);
    sf_kit_free(kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_series_hold_the_values_of_the_standard),
        cmocka_unit_test(decimal_values_of_old_stock_become_preferred_and_never_smaller),
        cmocka_unit_test(voltages_are_made_ones_and_never_lower),
        cmocka_unit_test(endurances_are_rounded_up_to_common_ones),
        cmocka_unit_test(references_are_ordered_as_people_count),
        cmocka_unit_test(parts_alike_make_a_line_with_their_count_references_and_spares),
        cmocka_unit_test(spares_are_a_share_rounded_up_and_not_by_a_hair),
        cmocka_unit_test(the_hottest_position_sets_the_grade),
        cmocka_unit_test(without_a_goal_the_endurance_is_not_below_the_old),
        cmocka_unit_test(duty_spares_endurance_and_ripple_above_the_rating_costs_it),
        cmocka_unit_test(where_no_common_part_reaches_the_goal_the_hours_to_expect_are_told),
        cmocka_unit_test(nothing_is_ordered_that_is_less_than_the_old_part),
        cmocka_unit_test(an_unmarked_old_part_gets_the_common_endurance),
        cmocka_unit_test(mount_pitch_type_and_esr_class_make_lines_of_their_own),
        cmocka_unit_test(ripple_and_esr_of_the_old_parts_are_asked_for),
        cmocka_unit_test(a_line_is_described_as_a_buyer_searches_for_it),
        cmocka_unit_test(what_differs_from_the_old_part_is_noted),
        cmocka_unit_test(a_voltage_in_use_above_the_old_rating_is_held),
        cmocka_unit_test(what_is_unknown_of_a_part_is_noted_and_comes_last),
        cmocka_unit_test(a_board_that_keeps_all_its_parts_needs_no_kit),
    };
    return cmocka_run_group_tests_name("kit", tests, NULL, NULL);
}
