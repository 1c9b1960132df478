/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Every diagnostic about readings, and about no-touch areas, periods and controls, with its exact
 * line. */
#include "job_folder.h"

#include <stdio.h>

/* readings.csv */

static const char *readings_of(const char *rows)
{
    static char content[1024];
    snprintf(content, sizeof content, "id,x_mm,y_mm,value,unit,method,spot,minute,junction_c\n%s",
             rows);
    return content;
}

static void a_job_without_readings_is_refused(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of(""),
                   "readings.csv: the file has no reading, expected at least one\n");
}

static void one_reading_is_enough(void **state)
{
    (void)state;
    assert_warned("readings.csv", readings_of("a,31,44,58.5,C,infrared,board,,\n"), "");
}

static void an_unknown_unit_of_a_reading_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,58.5,Re,infrared,board,,\n"),
                   "readings.csv:2: unit: \"Re\" is not known, expected C, F, K or mV\n");
}

static void an_unknown_method_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,58.5,C,finger,board,,\n"),
                   "readings.csv:2: method: \"finger\" is not known, expected thermocouple-K, "
                   "thermocouple-J, thermocouple-T or infrared\n");
}

static void an_unknown_spot_names_the_known_ones(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,58.5,C,infrared,wall,,\n"),
                   "readings.csv:2: spot: \"wall\" is not known, expected board, part or source\n");
}

static void a_temperature_no_board_survives_is_refused(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,58.5,K,infrared,board,,\n"),
                   "readings.csv:2: value: -214.65 C is out of range, expected -60 to 400 C\n");
}

static void a_millivolt_reading_needs_its_junction_and_a_thermocouple(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,44,1.45,mV,infrared,board,,\n"),
                   "readings.csv:2: method: an infrared thermometer does not show millivolts, "
                   "expected a thermocouple\n"
                   "readings.csv:2: junction_c: a reading in mV needs it, expected the temperature "
                   "of the reference junction in C\n");
    assert_refused("readings.csv", readings_of("a,31,44,91.5,mV,thermocouple-K,board,,21\n"),
                   "readings.csv:2: value: 91.5 mV is out of range, expected -10 to 80 mV\n");
}

static void a_junction_without_a_voltage_is_passed_over(void **state)
{
    (void)state;
    assert_warned(
        "readings.csv", readings_of("a,31,44,58.5,C,thermocouple-K,board,,21.5\n"),
        "readings.csv:2: warning: junction_c: it is ignored, since the value is not in mV\n");
}

static void a_reading_just_off_the_board_is_warned_of(void **state)
{
    (void)state;
    assert_warned("readings.csv", readings_of("a,31,-1.5,58.5,C,infrared,board,,\n"),
                  "readings.csv:2: warning: reading a at (31, -1.5) lies 1.5 mm off the board and "
                  "is taken at its nearest place\n");
}

static void a_reading_far_off_the_board_is_refused(void **state)
{
    (void)state;
    assert_refused("readings.csv", readings_of("a,31,92.25,58.5,C,infrared,board,,\n"),
                   "readings.csv:2: reading a at (31, 92.25) lies 2.2 mm from the nearest board, "
                   "outside the edge or in a cut-out, expected a place on the board\n");
}

static void a_second_row_of_an_id_needs_a_minute(void **state)
{
    (void)state;
    assert_refused("readings.csv",
                   readings_of("a,31,44,58.5,C,infrared,board,,\nb,60,20,40,C,infrared,board,,\n"
                               "a,31,44,59.5,C,infrared,board,,\n"),
                   "readings.csv:4: minute: the cell is blank, and line 2 has the same id \"a\", "
                   "expected a minute in each row of a warm-up series, or an id of its own\n");
}

static void a_series_with_one_blank_minute_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "readings.csv",
        readings_of("a,31,44,58.5,C,infrared,board,,\na,31,44,59.5,C,infrared,board,12,\n"),
        "readings.csv:2: minute: the cell is blank, and line 3 has the same id \"a\", "
        "expected a minute in each row of a warm-up series, or an id of its own\n");
}

static void a_series_with_one_minute_twice_is_refused(void **state)
{
    (void)state;
    assert_refused(
        "readings.csv",
        readings_of("a,31,44,58.5,C,infrared,board,7.5,\n"
                    "a,31,44,59.5,C,infrared,board,7.5,\n"),
        "readings.csv:3: minute: 7.5 is also the minute of line 2, which has the same id "
        "\"a\", expected different minutes in a warm-up series\n");
}

static void a_series_that_changes_anything_but_time_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *row, *column;
    } changed[] = {
        {"a,32,44,59.5,C,infrared,board,9,\n", "x_mm"},
        {"a,31,45,59.5,C,infrared,board,9,\n", "y_mm"},
        {"a,31,44,59.5,C,thermocouple-K,board,9,\n", "method"},
        {"a,31,44,139.5,F,infrared,board,9,\n", "unit"},
        {"a,31,44,59.5,C,infrared,part,9,\n", "spot"},
    };
    for (size_t i = 0; i < sizeof changed / sizeof changed[0]; i++) {
        char rows[256], expected[256];
        snprintf(rows, sizeof rows, "a,31,44,58.5,C,infrared,board,5,\n%s", changed[i].row);
        snprintf(
            expected, sizeof expected,
            "readings.csv:3: %s: it differs from line 2, which has the same id \"a\", expected "
            "the same in each row of a warm-up series\n",
            changed[i].column);
        assert_refused("readings.csv", readings_of(rows), expected);
    }
}

/* keepout.csv */

static void only_a_contact_reading_in_a_no_touch_area_is_warned_of(void **state)
{
    (void)state;
    /* r1, by thermocouple, and r2, by infrared, lie inside; the same area without r1 is silent */
    assert_warned("keepout.csv",
                  "ring,x_mm,y_mm,reason\n4,10,10,mains\n4,110,10,\n4,110,80,\n4,10,80,\n",
                  "readings.csv:2: warning: method: reading r1 was taken by contact in no-touch "
                  "area 4 (mains), where voltage can kill, expected infrared, from outside the "
                  "area\n");
    assert_warned("keepout.csv",
                  "ring,x_mm,y_mm,reason\n4,60,10,mains\n4,110,10,\n4,110,80,\n4,60,80,\n", "");
}

/* history.csv and controls.csv */

static void a_period_of_negative_hours_is_refused(void **state)
{
    (void)state;
    assert_refused("history.csv", "hours,load\n-250,1\n",
                   "history.csv:2: hours: \"-250\" is out of range, expected a number from 0 to "
                   "1000000 h\n");
}

static void a_control_without_a_reading_is_refused(void **state)
{
    (void)state;
    assert_refused("controls.csv", "value_uf,measured_uf\n47,\n",
                   "controls.csv:2: measured_uf: the cell is blank, expected a number from 0.001 "
                   "to 10000000 uF\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_a_contact_reading_in_a_no_touch_area_is_warned_of),
        cmocka_unit_test(a_job_without_readings_is_refused),
        cmocka_unit_test(one_reading_is_enough),
        cmocka_unit_test(an_unknown_unit_of_a_reading_names_the_known_ones),
        cmocka_unit_test(an_unknown_method_names_the_known_ones),
        cmocka_unit_test(an_unknown_spot_names_the_known_ones),
        cmocka_unit_test(a_temperature_no_board_survives_is_refused),
        cmocka_unit_test(a_millivolt_reading_needs_its_junction_and_a_thermocouple),
        cmocka_unit_test(a_junction_without_a_voltage_is_passed_over),
        cmocka_unit_test(a_reading_just_off_the_board_is_warned_of),
        cmocka_unit_test(a_reading_far_off_the_board_is_refused),
        cmocka_unit_test(a_second_row_of_an_id_needs_a_minute),
        cmocka_unit_test(a_series_with_one_blank_minute_is_refused),
        cmocka_unit_test(a_series_with_one_minute_twice_is_refused),
        cmocka_unit_test(a_series_that_changes_anything_but_time_is_refused),
        cmocka_unit_test(a_period_of_negative_hours_is_refused),
        cmocka_unit_test(a_control_without_a_reading_is_refused),
    };
    return cmocka_run_group_tests_name("complaints of readings", tests, NULL, NULL);
}
