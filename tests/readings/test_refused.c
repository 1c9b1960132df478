/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Rows that cannot be corrected, each fault with its line and column. */
#include "readings/bench.h"

#include <math.h>

#include <gsl/gsl_errno.h>

static void every_fault_is_told_with_line_and_column(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 14);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].unit = SF_UNIT_MILLIVOLT;
    on.rows[1].unit = SF_UNIT_MILLIVOLT;
    on.rows[2].unit = SF_UNIT_MILLIVOLT;
    on.rows[2].junction_c = 75;
    on.rows[3].unit = SF_UNIT_MILLIVOLT;
    on.rows[3].value = 61.3;
    on.rows[3].junction_c = 22.5;
    on.rows[4].method = SF_METHOD_INFRARED;
    on.rows[4].emissivity = -0.2;
    on.rows[5].sd_k = 0;
    on.rows[6].ambient_c = 130;
    on.rows[7].minute = -4;
    on.rows[8].value = NAN;
    on.rows[9].value = 611;
    on.rows[10].x_mm = INFINITY;
    on.rows[11].reflected_c = -90;
    on.rows[12].method = SF_METHOD_COUNT;
    on.rows[13].spot = SF_SPOT_COUNT;
    on.rows[13].unit = SF_UNIT_KELVIN;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.observations);
    assert_int_equal(on.count, 0);
    static const char *const told[] = {
        "readings.csv:2: unit: mV from an infrared thermometer",
        "readings.csv:3: junction_c: is blank beside a value in mV, expected the temperature of",
        "readings.csv:4: junction_c: 75 is out of range, expected a number from -20 to 60 C",
        "readings.csv:5: value: 61.3 mV with the junction at 22.5 C is beyond",
        "readings.csv:6: emissivity: -0.2 is out of range",
        "readings.csv:7: u_k: 0 is out of range, expected a number from 0.001 to 50 K",
        "readings.csv:8: ambient_c: 130 is out of range",
        "readings.csv:9: minute: -4 is out of range",
        "readings.csv:10: value: ",
        "readings.csv:11: value: comes to 611 C",
        "readings.csv:12: x_mm: inf is out of range",
        "readings.csv:13: reflected_c: -90 is out of range",
        "readings.csv:14: method: is not a known method",
        "readings.csv:15: spot: is not a known spot",
        "readings.csv:15: unit: is not a known unit",
    };
    assert_int_equal(on.diagnostics.error_count, sizeof told / sizeof told[0]);
    assert_int_equal(on.diagnostics.warning_count, 0);
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++)
        assert_begins(diagnostic(&on.diagnostics, i), told[i]);
    clear_bench(&on);
}

static void a_shared_id_that_makes_no_series_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 12);
    on.rows[0].id = on.rows[1].id = "twice";
    on.rows[2].id = on.rows[3].id = "two";
    on.rows[2].minute = 5;
    on.rows[3].minute = 10;
    on.rows[4].id = on.rows[5].id = on.rows[6].id = "moved";
    on.rows[4].minute = 5;
    on.rows[5].minute = 10;
    on.rows[6].minute = 10;
    on.rows[5].x_mm = 32.8;
    on.rows[7].id = on.rows[8].id = "";
    for (size_t i = 9; i < 12; i++) {
        on.rows[i].id = "other";
        on.rows[i].minute = (double)i;
    }
    on.rows[10].spot = SF_SPOT_PART;
    on.rows[11].method = SF_METHOD_THERMOCOUPLE_J;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    static const char *const told[] = {
        "readings.csv:2: minute: is blank, and \"twice\" is on 2 rows",
        "readings.csv:3: minute: is blank, and \"twice\" is on 2 rows",
        "readings.csv:4: id: \"two\" is on 2 rows, expected 3 readings or more",
        "readings.csv:7: id: \"moved\" is on rows with another place",
        "readings.csv:8: minute: 10 is on two rows of \"moved\"",
        "readings.csv:12: id: \"other\" is on rows with another place, method or spot",
        "readings.csv:13: id: \"other\" is on rows with another place, method or spot",
    };
    assert_int_equal(on.diagnostics.error_count, sizeof told / sizeof told[0]);
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++)
        assert_begins(diagnostic(&on.diagnostics, i), told[i]);
    clear_bench(&on);
}

static void a_series_that_begins_with_one_minute_twice_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 3);
    static const double minutes[] = {5, 5, 10};
    for (size_t i = 0; i < 3; i++) {
        on.rows[i].id = "twin";
        on.rows[i].minute = minutes[i];
    }
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_int_equal(on.diagnostics.error_count, 1);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "readings.csv:3: minute: 5 is on two rows of \"twin\"");
    clear_bench(&on);
}

static void a_reading_without_any_air_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 2);
    on.job.board.ambient_c = NAN;
    on.rows[1].ambient_c = 22.8;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_int_equal(on.diagnostics.error_count, 1);
    assert_begins(diagnostic(&on.diagnostics, 0), "readings.csv:2: ambient_c: is blank");
    clear_bench(&on);
}

static void a_mirror_hotter_than_what_is_shown_allows_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].value = 31.5;
    on.rows[0].emissivity = 0.1;
    on.rows[0].reflected_c = 88.4;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(diagnostic(&on.diagnostics, 0), "readings.csv:2: value: 31.5 C is less than");
    clear_bench(&on);
}

static void a_reading_below_its_air_is_warned_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 2);
    on.rows[0].value = 19.2;
    on.rows[1].value = 22.9;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.diagnostics.warning_count, 1);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "readings.csv:2: warning: value: comes to 19.2 C, 4.4 K below its air");
    clear_bench(&on);
}

static void a_policy_out_of_range_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.job.policy.bead_bias_pct = 100;
    on.job.policy.bead_bias_sd_pct = NAN;
    on.job.policy.case_offset_sd_k = -1.5;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_int_equal(on.diagnostics.error_count, 3);
    assert_begins(diagnostic(&on.diagnostics, 0), "policy.csv: bead_bias_pct: 100 is out of range");
    assert_begins(diagnostic(&on.diagnostics, 1), "policy.csv: bead_bias_sd_pct: ");
    assert_begins(diagnostic(&on.diagnostics, 2),
                  "policy.csv: case_offset_sd_k: -1.5 is out of range");
    clear_bench(&on);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_fault_is_told_with_line_and_column),
        cmocka_unit_test(a_shared_id_that_makes_no_series_is_refused),
        cmocka_unit_test(a_series_that_begins_with_one_minute_twice_is_refused),
        cmocka_unit_test(a_reading_without_any_air_is_refused),
        cmocka_unit_test(a_mirror_hotter_than_what_is_shown_allows_is_refused),
        cmocka_unit_test(a_reading_below_its_air_is_warned_of),
        cmocka_unit_test(a_policy_out_of_range_is_refused),
    };
    return cmocka_run_group_tests_name("readings refused", tests, NULL, NULL);
}
