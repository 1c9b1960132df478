/* Rows of a warm-up series corrected to one observation: the steady state, its doubt, and what
 * makes no series. */
#include "readings/bench.h"

#include <math.h>

#include <gsl/gsl_errno.h>

static void an_exact_series_gives_its_steady_state(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 5);
    /* (T1 T3 - T2^2)/(T1 + T3 - 2 T2) of 40, 55, 62.5 is 70: common practice in temperature-rise
     * tests; rows in the wrong order, another spot between them */
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
    assert_int_equal(on.complaints.count, 0);
    assert_close(on.observations[0].temp_c, 70, 0, 1e-7);
    assert_close(on.observations[0].rise_k, 46.4, 0, 1e-7);
    /* derivatives of that formula at steps of 15 and 7.5: 1, -4, 4 */
    assert_close(on.observations[0].sd_k, 0.2 * sqrt(33), 1e-6, 0);
    assert_int_equal(on.observations[0].line, 2);
    assert_begins(on.observations[0].remark,
                  "steady state that 3 readings up to 30 min approach, +/- 1.1 K");
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
    /* steps of 15 and 7.5 K: 38.5 + 7.5 */
    assert_close(on.observations[0].rise_k, 46, 0, 1e-7);
    assert_close(on.observations[0].temp_c, 26.4 + 46, 0, 1e-7);
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
        on.rows[i].minute = 10 * (double)(i + 1);
        on.rows[i].value = 63.4 - 39.8 * exp(-on.rows[i].minute / 20);
    }
    double series_k = sd_of(&on);
    lay_bench(&on, 1);
    on.rows[0].sd_k = NAN;
    on.rows[0].value = 63.4;
    double single_k = sd_of(&on);
    /* the tolerance of the bead is common to all rows: eight rows are no worse than one but for
     * their own scatter of some half a kelvin */
    assert_true(series_k > single_k);
    assert_true(series_k < hypot(single_k, 0.7));
}

static void a_series_that_has_not_settled_is_refused_with_what_to_do(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 4);
    for (size_t i = 0; i < 4; i++) {
        on.rows[i].id = "fuse";
        on.rows[i].minute = 5 * (double)(i + 1);
        on.rows[i].value = 30 + 4.9 * (double)i;
    }
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.observations);
    assert_int_equal(on.complaints.error_count, 1);
    assert_begins(complaint(&on.complaints, 0),
                  "readings.csv:5: minute: series \"fuse\" of 4 readings up to "
                  "20 min does not bend");
    assert_holds(complaint(&on.complaints, 0), "until it moves less than 1 K in 30 min");
    clear_bench(&on);
}

static void a_series_with_a_second_slower_warming_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 12);
    for (size_t i = 0; i < 12; i++) {
        double minute = 4 * (double)(i + 1);
        on.rows[i].id = "can";
        on.rows[i].minute = minute;
        on.rows[i].value = 24 - 30 * expm1(-minute / 6) - 15 * expm1(-minute / 60);
    }
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_holds(complaint(&on.complaints, 0), "shows a second, slower warming");
    clear_bench(&on);
}

/* The complaint that a series of `count` values at every tenth minute gets. */
static const char *refusal(bench *on, const double *shown_c, size_t count, double sd_k)
{
    lay_bench(on, count);
    for (size_t i = 0; i < count; i++) {
        on->rows[i].id = "coil";
        on->rows[i].sd_k = sd_k;
        on->rows[i].minute = 10 * (double)(i + 1);
        on->rows[i].value = shown_c[i];
    }
    correct(on);
    assert_int_equal(on->status, SF_ERROR_DATA);
    assert_int_equal(on->complaints.error_count, 1);
    return complaint(&on->complaints, 0);
}

static void a_refused_series_says_why(void **state)
{
    (void)state;
    static const double slight_c[] = {40, 43, 45.1}, wild_c[] = {40, 57, 52, 66, 59};
    bench on;
    assert_holds(refusal(&on, slight_c, 3, 2), "leaves its steady temperature open by more than");
    clear_bench(&on);
    assert_holds(refusal(&on, wild_c, 5, 0.2), "scatters about any warm-up curve by more than u_k");
    clear_bench(&on);
}

static void a_series_that_is_level_needs_no_curve(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 4);
    static const double shown_c[] = {61.2, 61.5, 61.3, 61.6};
    for (size_t i = 0; i < 4; i++) {
        on.rows[i].id = "level";
        on.rows[i].minute = 40 + 10 * (double)i;
        on.rows[i].value = shown_c[i];
    }
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_close(on.observations[0].temp_c, 61.4, 1e-12, 0);
    assert_string_equal(on.observations[0].remark,
                        "mean of the last 4 of 4 readings, level within 1 K for 30 min");
    clear_bench(&on);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_exact_series_gives_its_steady_state),
        cmocka_unit_test(a_series_follows_the_air_of_each_row),
        cmocka_unit_test(what_rows_share_does_not_grow_in_a_series),
        cmocka_unit_test(a_series_that_has_not_settled_is_refused_with_what_to_do),
        cmocka_unit_test(a_series_with_a_second_slower_warming_is_refused),
        cmocka_unit_test(a_refused_series_says_why),
        cmocka_unit_test(a_series_that_is_level_needs_no_curve),
    };
    return cmocka_run_group_tests_name("readings series", tests, NULL, NULL);
}
