/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Rows of a warm-up series corrected to one observation: the steady state, its doubt, and what
 * makes no series. */
#include "readings/bench.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "readings/warmup.h"

/* Rows of one id, read at these minutes on a board in air of 23.6 C. */
static void lay_series(bench *on, const double *minute, const double *shown_c, size_t count,
                       double sd_k)
{
    lay_bench(on, count);
    for (size_t i = 0; i < count; i++) {
        on->rows[i].id = "coil";
        on->rows[i].sd_k = sd_k;
        on->rows[i].minute = minute[i];
        on->rows[i].value = shown_c[i];
    }
}

static void a_series_becomes_one_reading_that_says_what_it_assumes(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 5);
    /* rows in the wrong order, another spot between them */
    static const double minute[] = {30, NAN, 10, 20, NAN}, shown_c[] = {62.5, 51.9, 40, 55, 47.3};
    for (size_t i = 0; i < 5; i++) {
        on.rows[i].minute = minute[i];
        on.rows[i].value = shown_c[i];
        on.rows[i].sd_k = 0.2;
    }
    on.rows[2].id = on.rows[3].id = on.rows[0].id;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.count, 3);
    assert_int_equal(on.diagnostics.count, 0);
    static const double rising[] = {10, 20, 30}, rise_k[] = {16.4, 31.4, 38.9};
    warmup expected;
    assert_int_equal(warmup_judge(rising, rise_k, 3, 0.2, 0, &expected), SF_OK);
    assert_close(on.observations[0].rise_k, expected.led.steady_k, 0, 1e-9);
    assert_close(on.observations[0].temp_c, 23.6 + expected.led.steady_k, 0, 1e-9);
    /* the rows' own scatter is the series' alone; half of the variance of u_k is the instrument's,
     * which no further row takes away, and the air's doubt is everybody's */
    double shared_k = hypot(sqrt(SHARED) * 0.2, AIR_K);
    assert_close(common_k(&on.observations[0]), shared_k, 1e-12, 0);
    assert_close(on.observations[0].sd_k, hypot(expected.led.steady_sd_k, shared_k), 0, 1e-9);
    assert_int_equal(on.observations[0].line, 2);
    char remark[256];
    snprintf(remark, sizeof remark,
             "steady state, extrapolated from 3 readings up to 30 min, +/- %.1f K, allowing for a "
             "slower "
             "body behind the board (%.0f %% of the rise); one more reading at %g min would "
             "narrow this to about +/- %.1f K",
             expected.led.steady_sd_k, 100 * expected.led.slow_share, expected.led.further_min,
             expected.led.further_sd_k);
    assert_begins(on.observations[0].remark, remark);
    assert_string_equal(on.observations[1].id, "t2");
    assert_string_equal(on.observations[2].id, "t5");
    clear_bench(&on);
}

static void a_series_follows_the_air_of_each_row(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 3);
    static const double rise_k[] = {16, 31, 38.5}, air_c[] = {22.2, 24.9, 26.4};
    for (size_t i = 0; i < 3; i++) {
        on.rows[i].id = "warm";
        on.rows[i].minute = 10 * (double)(i + 1);
        on.rows[i].ambient_c = air_c[i];
        on.rows[i].value = air_c[i] + rise_k[i];
    }
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.count, 1);
    static const double minute[] = {10, 20, 30};
    warmup expected;
    assert_int_equal(warmup_judge(minute, rise_k, 3, on.rows[0].sd_k, 0, &expected), SF_OK);
    assert_close(on.observations[0].rise_k, expected.led.steady_k, 0, 1e-9);
    assert_close(on.observations[0].temp_c, 26.4 + expected.led.steady_k, 0, 1e-9);
    clear_bench(&on);
}

static void what_rows_share_does_not_grow_in_a_series(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 8);
    for (size_t i = 0; i < 8; i++) {
        on.rows[i].id = "warm";
        on.rows[i].sd_k = NAN;
        on.rows[i].minute = 900 + 10 * (double)i;
        on.rows[i].value = 63.4;
    }
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    const sf_observation series = on.observations[0];
    clear_bench(&on);
    lay_bench(&on, 1);
    on.rows[0].sd_k = NAN;
    on.rows[0].value = 63.4;
    double single_k = sd_of(&on);
    /* IEC 60584-1 type K class 2: the tolerance is the bead's, in eight rows as in one. The rows'
     * own scatter is in the steady state already, and is not counted once more. */
    assert_close(series.common_k[SF_METHOD_THERMOCOUPLE_K], 2.5 / sqrt(3), 1e-12, 0);
    assert_close(
        series.sd_k,
        hypot(hypot(2.5 / sqrt(3), AIR_K), hypot(series.steady_sd_k, 0.03 * series.rise_k)), 1e-12,
        0);
    assert_true(series.steady_sd_k > 0 && series.sd_k < hypot(single_k, 0.7));
}

static void a_series_that_has_not_settled_is_refused_with_what_to_do(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 4);
    for (size_t i = 0; i < 4; i++) {
        on.rows[i].id = "fuse";
        on.rows[i].sd_k = 0.2;
        on.rows[i].minute = 5 * (double)(i + 1);
        on.rows[i].value = 30 + 4.9 * (double)i;
    }
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.observations);
    assert_int_equal(on.diagnostics.error_count, 1);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "readings.csv:5: minute: series \"fuse\" of 4 readings up to "
                  "20 min does not bend");
    assert_holds(diagnostic(&on.diagnostics, 0), "until it moves less than 0.5 K in an hour");
    clear_bench(&on);
}

/* The diagnostic that a series gets. */
static const char *refusal(bench *on, const double *shown_c, size_t count, double sd_k)
{
    static const double minute[] = {10, 20, 30, 40, 50};
    lay_series(on, minute, shown_c, count, sd_k);
    correct(on);
    assert_int_equal(on->status, SF_ERROR_DATA);
    assert_int_equal(on->diagnostics.error_count, 1);
    return diagnostic(&on->diagnostics, 0);
}

static void a_refused_series_says_why(void **state)
{
    (void)state;
    static const double slight_c[] = {28, 29, 29.4}, wild_c[] = {40, 57, 52, 66, 59};
    bench on;
    assert_holds(refusal(&on, slight_c, 3, 6),
                 "leaves its steady temperature open by more than a third of the rise");
    clear_bench(&on);
    assert_holds(refusal(&on, wild_c, 5, 0.2),
                 "scatters around any warm-up curve by more than u_k");
    clear_bench(&on);
}

static void a_series_that_is_level_after_hours_asks_for_no_further_row(void **state)
{
    (void)state;
    static const double minute[] = {940, 950, 960, 970}, shown_c[] = {61.2, 61.5, 61.3, 61.6};
    bench on;
    lay_series(&on, minute, shown_c, 4, 0.3);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_close(on.observations[0].temp_c, 61.4, 0, 0.3);
    assert_null(strstr(on.observations[0].remark, "one more reading"));
    clear_bench(&on);
}

static void a_series_in_a_slow_cabinet_is_never_sure_too_soon(void **state)
{
    (void)state;
    /* half an hour within 1 K, 25 K in 10 min and 10 K in 150 min: 6 K are still to come */
    double minute[4], shown_c[4];
    for (int i = 0; i < 4; i++) {
        minute[i] = 50 + 10 * i;
        shown_c[i] = 23.6 - 25 * expm1(-minute[i] / 10) - 10 * expm1(-minute[i] / 150);
    }
    assert_true(shown_c[3] - shown_c[0] < 1.5);
    bench on;
    lay_series(&on, minute, shown_c, 4, 0.3);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_close(on.observations[0].rise_k, 35, 0, 1.6449 * on.observations[0].sd_k);
    clear_bench(&on);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_series_becomes_one_reading_that_says_what_it_assumes),
        cmocka_unit_test(a_series_follows_the_air_of_each_row),
        cmocka_unit_test(what_rows_share_does_not_grow_in_a_series),
        cmocka_unit_test(a_series_that_has_not_settled_is_refused_with_what_to_do),
        cmocka_unit_test(a_refused_series_says_why),
        cmocka_unit_test(a_series_that_is_level_after_hours_asks_for_no_further_row),
        cmocka_unit_test(a_series_in_a_slow_cabinet_is_never_sure_too_soon),
    };
    return cmocka_run_group_tests_name("readings series", tests, NULL, NULL);
}
