/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Marks tried over the page's socket before they are kept: how far each misses, and what is no
 * mark. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <jansson.h>

#include "served.h"

enum { MARKS = 6, UNKNOWNS = 8 };

typedef struct mark_row {
    double column_px, row_px, x_mm, y_mm;
} mark_row;

/* Corners and two holes of an invented board of 100 x 80 mm, marked by hand on a photo taken askew.
 */
static const mark_row askew[MARKS] = {{152.5, 801, 0, 0},      {1079, 758.5, 100, 0},
                                      {982, 141.5, 100, 80},   {231.5, 119, 0, 80},
                                      {610, 447, 50.5, 40.25}, {397.5, 602, 25.5, 20.5}};

static json_t *try_marks(const mark_row *marks, size_t count)
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, json_pack("{s:f, s:f, s:f, s:f}", "column_px",
                                              marks[i].column_px, "row_px", marks[i].row_px, "x_mm",
                                              marks[i].x_mm, "y_mm", marks[i].y_mm));
    json_t *whole = json_pack("{s:o}", "marks", list);
    char *body = json_dumps(whole, 0);
    assert_non_null(body);
    json_t *tried = served_json("marks", body, 200);
    free(body);
    json_decref(whole);
    return tried;
}

static double residual_mm(const json_t *tried, size_t mark)
{
    return json_number_value(json_array_get(json_object_get(tried, "residuals_mm"), mark));
}

/* --- the same fit by GSL's trust region, its derivatives by differences --- */

/* Where a perspective puts a mark against where it is, in units of 100 mm and 1,000 px. */
static void miss(const gsl_vector *h, size_t mark, double gap[2])
{
    double column = askew[mark].column_px / 1000, row = askew[mark].row_px / 1000;
    double w = gsl_vector_get(h, 6) * column + gsl_vector_get(h, 7) * row + 1;
    for (size_t axis = 0; axis < 2; axis++)
        gap[axis] = (gsl_vector_get(h, 3 * axis) * column + gsl_vector_get(h, 3 * axis + 1) * row +
                     gsl_vector_get(h, 3 * axis + 2)) /
                        w -
                    (axis == 0 ? askew[mark].x_mm : askew[mark].y_mm) / 100;
}

static int all_misses(const gsl_vector *h, void *context, gsl_vector *gaps)
{
    (void)context;
    for (size_t mark = 0; mark < MARKS; mark++) {
        double gap[2];
        miss(h, mark, gap);
        gsl_vector_set(gaps, 2 * mark, gap[0]);
        gsl_vector_set(gaps, 2 * mark + 1, gap[1]);
    }
    return GSL_SUCCESS;
}

static void fit_by_gsl(double misses_mm[MARKS])
{
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    how.fdtype = GSL_MULTIFIT_NLINEAR_CTRDIFF;
    gsl_multifit_nlinear_fdf system = {.f = all_misses, .n = 2 * MARKS, .p = UNKNOWNS};
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, 2 * MARKS, UNKNOWNS);
    const double start[] = {1, 0, -0.1, 0, -1, 0.8, 0, 0};
    gsl_vector_const_view from = gsl_vector_const_view_array(start, UNKNOWNS);
    int info = 0;
    assert_non_null(work);
    assert_int_equal(gsl_multifit_nlinear_init(&from.vector, &system, work), GSL_SUCCESS);
    assert_int_equal(gsl_multifit_nlinear_driver(500, 1e-14, 1e-14, 1e-14, NULL, NULL, &info, work),
                     GSL_SUCCESS);
    for (size_t mark = 0; mark < MARKS; mark++) {
        double gap[2];
        miss(gsl_multifit_nlinear_position(work), mark, gap);
        misses_mm[mark] = 100 * hypot(gap[0], gap[1]);
    }
    gsl_multifit_nlinear_free(work);
}

/* 1e-5 mm: differences stand for derivatives there, and seven digits are sent. */
static void each_mark_is_told_how_far_it_misses(void **state)
{
    (void)state;
    double expected_mm[MARKS], square_sum_mm2 = 0;
    fit_by_gsl(expected_mm);
    json_t *tried = try_marks(askew, MARKS);
    assert_true(json_is_true(json_object_get(tried, "fits")));
    assert_string_equal(json_string_value(json_object_get(tried, "why")), "");
    assert_int_equal(json_array_size(json_object_get(tried, "residuals_mm")), MARKS);
    for (size_t mark = 0; mark < MARKS; mark++) {
        assert_true(expected_mm[mark] > 0.01);
        assert_close(residual_mm(tried, mark), expected_mm[mark], 0, 1e-5);
        square_sum_mm2 += expected_mm[mark] * expected_mm[mark];
    }
    assert_close(json_number_value(json_object_get(tried, "rms_mm")), sqrt(square_sum_mm2 / MARKS),
                 0, 1e-5);
    json_decref(tried);
}

/* Computed from the definition: a perspective has eight unknowns, four marks give eight numbers. */
static void four_marks_always_fit_and_tell_no_mean(void **state)
{
    (void)state;
    json_t *tried = try_marks(askew, 4);
    assert_true(json_is_true(json_object_get(tried, "fits")));
    assert_true(json_is_null(json_object_get(tried, "rms_mm")));
    assert_int_equal(json_array_size(json_object_get(tried, "residuals_mm")), 4);
    for (size_t mark = 0; mark < 4; mark++)
        assert_close(residual_mm(tried, mark), 0, 0, 1e-6);
    json_decref(tried);
}

static void a_mistyped_place_misses_most(void **state)
{
    (void)state;
    mark_row marks[MARKS];
    memcpy(marks, askew, sizeof marks);
    marks[4].y_mm = 45.75;
    json_t *tried = try_marks(marks, MARKS);
    for (size_t mark = 0; mark < MARKS; mark++)
        assert_true(mark == 4 || residual_mm(tried, mark) < residual_mm(tried, 4));
    json_decref(tried);
}

static void assert_no_map(const mark_row *marks, size_t count, const char *why)
{
    json_t *tried = try_marks(marks, count);
    assert_true(json_is_false(json_object_get(tried, "fits")));
    assert_int_equal(json_array_size(json_object_get(tried, "residuals_mm")), 0);
    assert_true(json_is_null(json_object_get(tried, "rms_mm")));
    assert_non_null(strstr(json_string_value(json_object_get(tried, "why")), why));
    json_decref(tried);
}

static void marks_that_hold_no_map_say_what_they_lack(void **state)
{
    (void)state;
    static const mark_row line[] = {
        {11, 12, 0, 0}, {21, 22, 45, 0}, {31, 32, 45, 30}, {41, 42, 0, 30}};
    assert_no_map(askew, 0, "two marks");
    assert_no_map(askew, 1, "two marks");
    assert_no_map(askew, 3, "two marks");
    assert_no_map(line, 4, "nearly on a line");
}

/* Every fault of a body, by mark and member, in one answer. */
static void what_is_no_mark_is_refused_with_each_fault(void **state)
{
    (void)state;
    json_t *refused =
        served_json("marks",
                    "{\"marks\": [{\"column_px\": 7.5, \"row_px\": \"8\", \"x_mm\": 3},"
                    "{\"column_px\": 1000001, \"row_px\": 9.5, \"x_mm\": 3, \"y_mm\": 4},"
                    "17]}",
                    400);
    const json_t *told = json_object_get(refused, "complaints");
    static const char *const expected[] = {
        "marks:1: row_px", "marks:1: y_mm", "marks:2: column_px", "marks:3: column_px",
        "marks:3: row_px", "marks:3: x_mm", "marks:3: y_mm",
    };
    assert_int_equal(json_array_size(told), sizeof expected / sizeof *expected);
    for (size_t i = 0; i < json_array_size(told); i++) {
        const char *line = json_string_value(json_array_get(told, i));
        if (!strstr(line, expected[i]))
            fail_msg("%s is not told by: %s", expected[i], line);
    }
    json_decref(refused);
}

static void a_body_without_marks_is_refused(void **state)
{
    (void)state;
    static const char *const none[] = {"[]", "{}", "{\"marks\": 7}",
                                       "{\"marks\": {\"column_px\": 7}}"};
    static const char *const no_json[] = {"", "{", "7"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        json_t *refused = served_json("marks", none[i], 400);
        assert_int_equal(json_array_size(json_object_get(refused, "complaints")), 1);
        json_decref(refused);
    }
    for (size_t i = 0; i < sizeof no_json / sizeof *no_json; i++) {
        answer got = served_ask("marks", no_json[i], strlen(no_json[i]));
        assert_int_equal(got.status, 400);
        assert_non_null(strstr(got.body, "not JSON"));
        answer_clear(&got);
    }
}

static void trying_writes_nothing(void **state)
{
    (void)state;
    char path[512];
    json_decref(try_marks(askew, MARKS));
    snprintf(path, sizeof path, "%s/photo-marks.csv", served_folder);
    assert_null(fopen(path, "r"));
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_mark_is_told_how_far_it_misses),
        cmocka_unit_test(four_marks_always_fit_and_tell_no_mean),
        cmocka_unit_test(a_mistyped_place_misses_most),
        cmocka_unit_test(marks_that_hold_no_map_say_what_they_lack),
        cmocka_unit_test(what_is_no_mark_is_refused_with_each_fault),
        cmocka_unit_test(a_body_without_marks_is_refused),
        cmocka_unit_test(trying_writes_nothing),
    };
    return cmocka_run_group_tests_name("page: marks", tests, served_open, served_close);
}
