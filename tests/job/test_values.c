/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Single values: dates, tolerances, units, words, preferred series, nearest names. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "job/choice_words.h"
#include "job/column.h"
#include "job/number.h"
#include "spotfield/job.h"

/* Computed: 2 March 2024 is the 62nd day of a leap year of 366, 2 March 2026 the 61st of 365. */
static void a_date_becomes_a_decimal_year(void **state)
{
    (void)state;
    assert_close(date_year("2024-03-02"), 2024 + 61 / 366.0, 1e-15, 0);
    assert_close(date_year("2026-03-02"), 2026 + 60 / 365.0, 1e-15, 0);
    assert_close(date_year("2024-02-15"), 2024 + 45 / 366.0, 1e-15, 0);
    assert_close(date_year("1998"), 1998, 0, 0);
    assert_close(date_year("2100"), 2100, 0, 0);
    assert_close(date_year("2000-12-31"), 2000 + 365 / 366.0, 1e-15, 0);
}

/* Gregorian calendar: 1900 and 2100 are no leap years, 2000 is. */
static void a_day_the_calendar_does_not_have_is_no_date(void **state)
{
    (void)state;
    static const char *const refused[] = {"2026-02-29", "2026-04-31", "2026-13-01",  "2026-00-10",
                                          "2026-06-00", "1900-02-29", "15.01.2026",  "2026-1-5",
                                          "1899",       "2101",       "2026-01-15 ", "",
                                          "yes"};
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++)
        assert_true(isnan(date_year(refused[i])));
    assert_false(isnan(date_year("2000-02-29")));
}

static void check_tolerance(const char *written, bool decimal_comma, double low, double high)
{
    struct tolerance tolerance = {-1, -1};
    assert_true(tolerance_read(written, decimal_comma, &tolerance));
    assert_close(tolerance.low_pct, low, 0, 0);
    assert_close(tolerance.high_pct, high, 0, 0);
}

static void a_tolerance_is_a_number_or_a_pair(void **state)
{
    (void)state;
    check_tolerance("20", false, 20, 20);
    check_tolerance("12.5 %", false, 12.5, 12.5);
    check_tolerance("7,5", true, 7.5, 7.5);
    check_tolerance("-20/+50", false, 20, 50);
    check_tolerance("+100/-10", false, 10, 100);
    check_tolerance("-10 % / +75 %", false, 10, 75);
    check_tolerance("\u221210/+30", false, 10, 30);
    check_tolerance("0/+150", false, 0, 150);
}

/* IEC 60062, tolerance letters: F, G, J, K, M, Z as printed in tables; N, Q, S, T from memory. */
static void a_tolerance_letter_is_read_by_iec_60062(void **state)
{
    (void)state;
    check_tolerance("F", false, 1, 1);
    check_tolerance("G", false, 2, 2);
    check_tolerance("J", false, 5, 5);
    check_tolerance("K", false, 10, 10);
    check_tolerance("M", false, 20, 20);
    check_tolerance("N", false, 30, 30);
    check_tolerance("Q", false, 10, 30);
    check_tolerance("S", false, 20, 50);
    check_tolerance("T", false, 10, 50);
    check_tolerance("Z", false, 20, 80);
}

static void what_is_no_tolerance_is_refused(void **state)
{
    (void)state;
    static const char *const refused[] = {"W",    "m",        "-20",   "10/50", "-10/-50",  "/",
                                          "-20/", "/+50",     "0",     "101",   "-20/+201", "%",
                                          "nan",  "-20/+50/", "20 20", "",      "-120/+5",  "0/0"};
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        struct tolerance tolerance = {-1, -1};
        if (tolerance_read(refused[i], false, &tolerance))
            fail_msg("\"%s\" was taken", refused[i]);
        assert_close(tolerance.low_pct, -1, 0, 0);
    }
}

static void check_unit(const char *held, const char *written, double value, double expected)
{
    assert_true(unit_convert(held, written, &value));
    assert_close(value, expected, 1e-14, 0);
}

/* The inch is 25.4 mm, 32 F is 0 C, 212 F is 100 C, 273.15 K is 0 C: BIPM, SI brochure, 9th
 * edition, and NIST SP 811. */
static void units_are_converted_at_the_door(void **state)
{
    (void)state;
    check_unit("mm", "", 62.5, 62.5);
    check_unit("mm", "cm", 6.25, 62.5);
    check_unit("mm", "m", 0.0625, 62.5);
    check_unit("mm", "in", 3.5, 88.9);
    check_unit("mm", "mil", 62, 1.5748);
    check_unit("um", "mil", 1.4, 35.56);
    check_unit("um", "\u00B5m", 70, 70);
    check_unit("C", "F", 212, 100);
    check_unit("C", "\u00B0F", 98.6, 37);
    check_unit("C", "K", 300.65, 27.5);
    check_unit("K", "F", 9, 5);
    check_unit("K", "C", 7.5, 7.5);
    check_unit("h", "d", 12.5, 300);
    check_unit("%", "1", 0.375, 37.5);
}

static void a_unit_of_another_quantity_is_refused(void **state)
{
    (void)state;
    double value = 7.25;
    assert_false(unit_convert("mm", "C", &value));
    assert_false(unit_convert("C", "mm", &value));
    assert_false(unit_convert("mm", "furlong", &value));
    assert_false(unit_convert("", "mm", &value));
    assert_close(value, 7.25, 0, 0);
}

static void the_units_of_a_quantity_are_listed_once_each(void **state)
{
    (void)state;
    static const char *const lists[][2] = {{"mm", "mm, cm, m, in, mil or um"},
                                           {"um", "um, mm, mil or oz"},
                                           {"C", "C, F or K"},
                                           {"K", "K, C or F"},
                                           {"h", "h or d"},
                                           {"year", "year"},
                                           {"%", "% or 1"},
                                           {"", "a blank cell"}};
    for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++) {
        char list[128];
        unit_list(lists[i][0], list, sizeof list);
        assert_string_equal(list, lists[i][1]);
    }
}

/* IEC 60063, series E12 (which holds E6 and E3), over the decades of electrolytic capacitors. */
static void every_e12_value_is_preferred(void **state)
{
    (void)state;
    static const char *const e12[] = {"1.0", "1.2", "1.5", "1.8", "2.2", "2.7",
                                      "3.3", "3.9", "4.7", "5.6", "6.8", "8.2"};
    for (size_t i = 0; i < 12; i++)
        for (int decade = -1; decade <= 5; decade++) {
            char written[16];
            snprintf(written, sizeof written, "%se%d", e12[i], decade);
            if (!capacitance_is_preferred(strtod(written, NULL)))
                fail_msg("%s uF is not among the preferred values", written);
        }
}

/* Decimal values of older stock: common practice, no source. */
static void old_decimal_values_are_preferred_and_odd_ones_are_not(void **state)
{
    (void)state;
    static const double old_uf[] = {8, 16, 20, 32, 40, 50, 64, 250, 640, 1000};
    static const double odd_uf[] = {7.4, 45, 48, 74, 410, 2300, 0.99, 9.9};
    for (size_t i = 0; i < sizeof old_uf / sizeof old_uf[0]; i++)
        assert_true(capacitance_is_preferred(old_uf[i]));
    for (size_t i = 0; i < sizeof odd_uf / sizeof odd_uf[0]; i++)
        assert_false(capacitance_is_preferred(odd_uf[i]));
}

static void a_value_a_hair_below_a_decade_counts_as_the_decade(void **state)
{
    (void)state;
    assert_true(capacitance_is_preferred(99.99999999));
    assert_true(capacitance_is_preferred(1000.0000001));
}

/* Catalogue voltages of the trade: common practice, no source. */
static void usual_rated_voltages_are_known(void **state)
{
    (void)state;
    static const double usual_v[] = {6.3, 10,  16,  25,  35,  50,  63,  80, 100,
                                     160, 200, 250, 350, 385, 400, 450, 500};
    for (size_t i = 0; i < sizeof usual_v / sizeof usual_v[0]; i++)
        assert_true(voltage_is_preferred(usual_v[i]));
    assert_false(voltage_is_preferred(53));
    assert_false(voltage_is_preferred(6.4));
}

static const char *nearest_of(const char *typed)
{
    static const char *const names[] = {"ref", "capacitance_uf", "rated_v", "rated_c", "note"};
    struct nearest nearest = {typed, NULL, 0};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        nearest_offer(&nearest, names[i]);
    return nearest.name;
}

static void the_nearest_name_has_the_least_edit_distance(void **state)
{
    (void)state;
    assert_string_equal(nearest_of("capacitence_uf"), "capacitance_uf");
    assert_string_equal(nearest_of("Rated_V "), "rated_v");
    assert_string_equal(nearest_of("ratedc"), "rated_c");
    assert_string_equal(nearest_of("notes"), "note");
}

static void the_first_of_equally_near_names_is_taken(void **state)
{
    (void)state;
    assert_string_equal(nearest_of("rated_x"), "rated_v");
}

/* Levenshtein's distance of "kitten" and "sitting" is 3 (a stock example of textbooks). */
static void the_edit_distance_counts_single_letter_edits(void **state)
{
    (void)state;
    struct nearest nearest = {"kitten", NULL, 0};
    nearest_offer(&nearest, "sitting");
    assert_int_equal(nearest.distance, 3);
}

static void every_choice_reads_back_from_its_word(void **state)
{
    (void)state;
    int value = -1;
    for (int i = 0; i < SF_LAMINATE_COUNT; i++)
        assert_true(word_value(laminate_words, sf_laminate_text((sf_laminate)i), &value) &&
                    value == i);
    for (int i = 0; i < SF_AIR_COUNT; i++)
        assert_true(word_value(air_words, sf_air_text((sf_air)i), &value) && value == i);
    for (int i = 0; i < SF_METHOD_COUNT; i++)
        assert_true(word_value(method_words, sf_method_text((sf_method)i), &value) && value == i);
    for (int i = 0; i < SF_SPOT_COUNT; i++)
        assert_true(word_value(spot_words, sf_spot_text((sf_spot)i), &value) && value == i);
    for (int i = 0; i < SF_CONDITION_COUNT; i++)
        assert_true(word_value(condition_words, sf_condition_text((sf_condition)i), &value) &&
                    value == i);
}

static void a_choice_outside_its_range_has_no_word(void **state)
{
    (void)state;
    assert_string_equal(sf_laminate_text(SF_LAMINATE_COUNT), "");
    assert_string_equal(sf_air_text((sf_air)-1), "");
    assert_string_equal(sf_method_text(SF_METHOD_COUNT), "");
    assert_string_equal(sf_spot_text(SF_SPOT_COUNT), "");
    assert_string_equal(sf_condition_text(SF_CONDITION_COUNT), "");
}

struct sample {
    char *text;
    double number;
    int whole, choice;
    bool answer;
    struct tolerance tolerance;
};

static void a_value_of_each_kind_is_told_with_its_unit(void **state)
{
    (void)state;
    static const struct column columns[] = {
        {.kind = COLUMN_TEXT, .offset = offsetof(struct sample, text)},
        {.kind = COLUMN_DATE, .offset = offsetof(struct sample, text)},
        {.kind = COLUMN_NUMBER, .offset = offsetof(struct sample, number), .unit = "mm"},
        {.kind = COLUMN_WHOLE, .offset = offsetof(struct sample, whole), .unit = "year"},
        {.kind = COLUMN_WORD, .offset = offsetof(struct sample, choice), .words = air_words},
        {.kind = COLUMN_YES_NO, .offset = offsetof(struct sample, answer)},
        {.kind = COLUMN_TOLERANCE, .offset = offsetof(struct sample, tolerance)},
    };
    static const char *const told[] = {"1998-05-17", "1998-05-17", "0.125 mm",  "1987 year",
                                       "forced",     "yes",        "-7.5/+45 %"};
    struct sample sample = {"1998-05-17", 0.125, 1987, SF_AIR_FORCED, true, {7.5, 45}};
    for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
        char into[64];
        column_value_text(&columns[i], &sample, into, sizeof into);
        assert_string_equal(into, told[i]);
    }
}

static void every_policy_default_lies_in_its_range(void **state)
{
    (void)state;
    sf_policy policy = sf_policy_default();
    size_t count = 0;
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++, count++) {
        double value = *(const double *)((const char *)&policy + key->offset);
        if (!(value >= key->least && value <= key->most))
            fail_msg("%s is %g", key->key, value);
        assert_true(key->meaning[0] && key->source[0]);
    }
    assert_int_equal(count * sizeof(double), sizeof policy);
}

static void the_air_in_service_has_what_the_covers_add(void **state)
{
    (void)state;
    sf_job job = {.board.ambient_c = 21.5, .board.service_ambient_c = 33.5};
    job.policy = sf_policy_default();
    job.policy.cover_rise_k = 7.25;
    /* computed from the formula */
    assert_close(sf_service_air_c(&job), 40.75, 1e-12, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_air_in_service_has_what_the_covers_add),
        cmocka_unit_test(a_date_becomes_a_decimal_year),
        cmocka_unit_test(a_day_the_calendar_does_not_have_is_no_date),
        cmocka_unit_test(a_tolerance_is_a_number_or_a_pair),
        cmocka_unit_test(a_tolerance_letter_is_read_by_iec_60062),
        cmocka_unit_test(what_is_no_tolerance_is_refused),
        cmocka_unit_test(units_are_converted_at_the_door),
        cmocka_unit_test(a_unit_of_another_quantity_is_refused),
        cmocka_unit_test(the_units_of_a_quantity_are_listed_once_each),
        cmocka_unit_test(every_e12_value_is_preferred),
        cmocka_unit_test(old_decimal_values_are_preferred_and_odd_ones_are_not),
        cmocka_unit_test(a_value_a_hair_below_a_decade_counts_as_the_decade),
        cmocka_unit_test(usual_rated_voltages_are_known),
        cmocka_unit_test(a_value_of_each_kind_is_told_with_its_unit),
        cmocka_unit_test(the_nearest_name_has_the_least_edit_distance),
        cmocka_unit_test(the_first_of_equally_near_names_is_taken),
        cmocka_unit_test(the_edit_distance_counts_single_letter_edits),
        cmocka_unit_test(every_choice_reads_back_from_its_word),
        cmocka_unit_test(a_choice_outside_its_range_has_no_word),
        cmocka_unit_test(every_policy_default_lies_in_its_range),
    };
    return cmocka_run_group_tests_name("job values", tests, NULL, NULL);
}
