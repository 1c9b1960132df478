/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The map from picture to board against a known camera. */
#include "support/check.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "readings/marks.h"

#define MARKS_MOST 40

/* A pinhole camera at a slant over the board: where a place of the board is in its picture.
 * Turned about the x axis of the board, shifted, divided by depth (central projection). */
static sf_point project(double x_mm, double y_mm)
{
    double tilt = 0.61, distance_mm = 430, focal_px = 910;
    double x = x_mm - 97, y = (y_mm - 64) * cos(tilt), z = distance_mm + (y_mm - 64) * sin(tilt);
    return (sf_point){633 + focal_px * x / z, 475 - focal_px * y / z};
}

typedef struct survey {
    sf_point pixel[MARKS_MOST], board_mm[MARKS_MOST];
    size_t count;
    double homography[9], residual_mm[MARKS_MOST], rms_mm;
} survey;

static void add_mark(survey *to, double x_mm, double y_mm)
{
    to->board_mm[to->count] = (sf_point){x_mm, y_mm};
    to->pixel[to->count++] = project(x_mm, y_mm);
}

/* The corners, a little off the square. */
static survey corners(void)
{
    survey made = {.count = 0};
    add_mark(&made, 3.2, 4.1);
    add_mark(&made, 211.7, 2.9);
    add_mark(&made, 214.3, 152.6);
    add_mark(&made, 5.8, 149.9);
    return made;
}

static sf_status fit(survey *of)
{
    return marks_fit(of->pixel, of->board_mm, of->count, of->homography, of->residual_mm,
                     &of->rms_mm);
}

static double miss_mm(const survey *of, double x_mm, double y_mm)
{
    sf_point pixel = project(x_mm, y_mm);
    sf_point found = marks_apply(of->homography, pixel.x_mm, pixel.y_mm);
    return hypot(found.x_mm - x_mm, found.y_mm - y_mm);
}

static void four_marks_give_the_camera_exactly(void **state)
{
    (void)state;
    survey four = corners();
    assert_int_equal(fit(&four), SF_OK);
    assert_close(four.rms_mm, 0, 0, 1e-9);
    assert_close(four.residual_mm[2], 0, 0, 1e-9);
    for (double x_mm = 1.5; x_mm < 220; x_mm += 23.7)
        assert_close(miss_mm(&four, x_mm, 131.3 - x_mm / 2), 0, 0, 1e-9);
}

static void more_marks_without_noise_give_the_same_camera(void **state)
{
    (void)state;
    survey seven = corners();
    add_mark(&seven, 88.4, 71.2);
    add_mark(&seven, 151.9, 33.8);
    add_mark(&seven, 42.7, 118.5);
    assert_int_equal(fit(&seven), SF_OK);
    assert_close(seven.rms_mm, 0, 0, 1e-9);
    assert_close(miss_mm(&seven, 133.1, 91.7), 0, 0, 1e-9);
}

static double square_sum_mm2(const survey *of, const double homography[9])
{
    double sum_mm2 = 0;
    for (size_t i = 0; i < of->count; i++) {
        sf_point at = marks_apply(homography, of->pixel[i].x_mm, of->pixel[i].y_mm);
        sum_mm2 += pow(at.x_mm - of->board_mm[i].x_mm, 2) + pow(at.y_mm - of->board_mm[i].y_mm, 2);
    }
    return sum_mm2;
}

static void noisy_marks_are_fitted_by_least_squares(void **state)
{
    (void)state;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 771);
    survey noisy = corners();
    for (int i = 0; i < 21; i++)
        add_mark(&noisy, 4 + 206 * gsl_rng_uniform(random), 4 + 142 * gsl_rng_uniform(random));
    for (size_t i = 0; i < noisy.count; i++) {
        noisy.board_mm[i].x_mm += gsl_ran_gaussian(random, 0.4);
        noisy.board_mm[i].y_mm += gsl_ran_gaussian(random, 0.4);
    }
    gsl_rng_free(random);
    assert_int_equal(fit(&noisy), SF_OK);
    /* 25 marks, 50 coordinates of 0.4 mm, 8 unknowns: mean square distance 2 * 0.16 * 42/50, its
     * own spread 22 % */
    assert_close(noisy.rms_mm, sqrt(2 * 0.16 * 42 / 50.0), 0.25, 0);
    assert_close(noisy.rms_mm, sqrt(square_sum_mm2(&noisy, noisy.homography) / 25), 1e-12, 0);
    assert_true(miss_mm(&noisy, 107.3, 76.1) < 0.5);
    /* at a minimum no entry, moved either way, lowers the sum */
    for (int entry = 0; entry < 9; entry++)
        for (double share = -1e-4; share < 2e-4; share += 2e-4) {
            double moved[9];
            for (int i = 0; i < 9; i++)
                moved[i] = noisy.homography[i] * (i == entry ? 1 + share : 1);
            assert_true(square_sum_mm2(&noisy, moved) > square_sum_mm2(&noisy, noisy.homography));
        }
}

static void a_slip_of_one_mark_shows_in_its_residual(void **state)
{
    (void)state;
    survey slipped = corners();
    add_mark(&slipped, 70.4, 52.9);
    add_mark(&slipped, 150.9, 55.8);
    add_mark(&slipped, 148.7, 108.5);
    add_mark(&slipped, 66.1, 104.3);
    slipped.board_mm[5].x_mm += 6.5;
    assert_int_equal(fit(&slipped), SF_OK);
    for (size_t i = 0; i < slipped.count; i++)
        assert_true(i == 5 || slipped.residual_mm[i] < slipped.residual_mm[5]);
}

static void marks_near_a_line_are_refused(void **state)
{
    (void)state;
    survey bent = corners();
    /* the third mark 2 mm beside the line from the first to the second, 208 mm long */
    bent.count = 2;
    add_mark(&bent, 120.6, 5.5);
    add_mark(&bent, 5.8, 149.9);
    assert_int_equal(fit(&bent), SF_ERROR_NUMERIC);
    survey line = {.count = 0};
    for (int i = 0; i < 6; i++)
        add_mark(&line, 10.3 + 31.7 * i, 20.9 + 12.4 * i);
    assert_int_equal(fit(&line), SF_ERROR_NUMERIC);
    add_mark(&line, 40.7, 110.2);
    assert_int_equal(fit(&line), SF_ERROR_NUMERIC);
    add_mark(&line, 160.2, 15.4);
    assert_int_equal(fit(&line), SF_OK);
}

static void marks_on_one_place_are_refused(void **state)
{
    (void)state;
    survey heap = corners();
    for (size_t i = 0; i < 4; i++)
        heap.pixel[i] = heap.pixel[0];
    assert_int_equal(fit(&heap), SF_ERROR_NUMERIC);
}

static void marks_in_a_crossed_order_are_refused(void **state)
{
    (void)state;
    survey crossed = corners();
    sf_point kept = crossed.pixel[2];
    crossed.pixel[2] = crossed.pixel[3];
    crossed.pixel[3] = kept;
    assert_int_equal(fit(&crossed), SF_ERROR_NUMERIC);
}

static void a_long_strip_of_board_is_no_line(void **state)
{
    (void)state;
    survey strip = {.count = 0};
    add_mark(&strip, 2.1, 41.3);
    add_mark(&strip, 217.6, 40.2);
    add_mark(&strip, 216.9, 66.8);
    add_mark(&strip, 1.4, 67.9);
    assert_int_equal(fit(&strip), SF_OK);
    assert_close(miss_mm(&strip, 103.6, 55.1), 0, 0, 1e-9);
}

static void a_pixel_beyond_the_horizon_is_nowhere(void **state)
{
    (void)state;
    survey four = corners();
    assert_int_equal(fit(&four), SF_OK);
    /* the board's plane vanishes at row 475 - 910/tan(0.61) = -827 */
    sf_point sky = marks_apply(four.homography, 633, -840), board;
    assert_true(isnan(sky.x_mm) && isnan(sky.y_mm));
    board = marks_apply(four.homography, 633, -800);
    assert_true(isfinite(board.x_mm) && board.y_mm > 1000);
}

static void too_few_or_unknown_marks_are_refused(void **state)
{
    (void)state;
    survey four = corners();
    four.count = 3;
    assert_int_equal(fit(&four), SF_ERROR_ARGUMENT);
    four.count = 4;
    four.pixel[1].y_mm = NAN;
    assert_int_equal(fit(&four), SF_ERROR_ARGUMENT);
    four = corners();
    four.board_mm[3].x_mm = INFINITY;
    assert_int_equal(fit(&four), SF_ERROR_ARGUMENT);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_marks_give_the_camera_exactly),
        cmocka_unit_test(more_marks_without_noise_give_the_same_camera),
        cmocka_unit_test(noisy_marks_are_fitted_by_least_squares),
        cmocka_unit_test(a_slip_of_one_mark_shows_in_its_residual),
        cmocka_unit_test(marks_near_a_line_are_refused),
        cmocka_unit_test(marks_on_one_place_are_refused),
        cmocka_unit_test(marks_in_a_crossed_order_are_refused),
        cmocka_unit_test(a_long_strip_of_board_is_no_line),
        cmocka_unit_test(a_pixel_beyond_the_horizon_is_nowhere),
        cmocka_unit_test(too_few_or_unknown_marks_are_refused),
    };
    return cmocka_run_group_tests_name("readings marks", tests, NULL, NULL);
}
