/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The camera's place, shadows and raster behind a thermogram, against a known camera. */
#include "support/check.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

#include "readings/ground.h"
#include "readings/marks.h"
#include "readings/viewpoint.h"

enum { COLUMNS = 320, ROWS = 240 };

/* A pinhole camera that looks at a place of the board from `away_mm` on, turned off the upright by
 * tilt towards lower y, then about its own axis by roll. */
typedef struct pinhole {
    double focal_px, away_mm, at_x_mm, at_y_mm, tilt, roll;
} pinhole;

/* Central projection: the board turned about its x axis, shifted along the lens axis, divided by
 * depth; rows are counted downwards. */
static sf_point project(const pinhole *of, double x_mm, double y_mm)
{
    double x = x_mm - of->at_x_mm, y = (y_mm - of->at_y_mm) * cos(of->tilt);
    double depth = of->away_mm + (y_mm - of->at_y_mm) * sin(of->tilt);
    double right = of->focal_px * x / depth, up = of->focal_px * y / depth;
    return (sf_point){(COLUMNS - 1) / 2.0 + right * cos(of->roll) - up * sin(of->roll),
                      (ROWS - 1) / 2.0 - right * sin(of->roll) - up * cos(of->roll)};
}

/* What the marks of five places make of the camera. */
static viewpoint find(const pinhole *of)
{
    static const sf_point places[] = {{4, 7}, {118, 5}, {121, 88}, {3, 91}, {57, 39}};
    sf_point pixel[5];
    double homography[9], residual_mm[5], rms_mm;
    for (int i = 0; i < 5; i++)
        pixel[i] = project(of, places[i].x_mm, places[i].y_mm);
    assert_int_equal(marks_fit(pixel, places, 5, homography, residual_mm, &rms_mm), SF_OK);
    assert_close(rms_mm, 0, 0, 1e-9);
    return viewpoint_find(homography, COLUMNS, ROWS);
}

/* computed from the formula: the lens axis leaves the board at (at_x, at_y) towards lower y and up.
 * The lens that is drawn to when little tells of it costs some per cent. */
static void a_slanted_view_tells_where_the_camera_hangs(void **state)
{
    (void)state;
    static const pinhole views[] = {{391, 283, 61, 44, 0.62, 0.07},
                                    {520, 371, 55, 51, 0.47, -0.19},
                                    {298, 221, 66, 38, 0.83, 0.31}};
    for (size_t i = 0; i < 3; i++) {
        viewpoint found = find(&views[i]);
        assert_close(found.x_mm, views[i].at_x_mm, 0, 0.02 * views[i].away_mm);
        assert_close(found.y_mm, views[i].at_y_mm - views[i].away_mm * sin(views[i].tilt), 0,
                     0.02 * views[i].away_mm);
        assert_close(found.above_mm, views[i].away_mm * cos(views[i].tilt), 0.02, 0);
    }
}

/* 1/(2 tan 22.5 degrees) of the columns: any other lens shows the same board from another height */
static void a_view_from_straight_above_counts_as_taken_by_a_lens_of_45_degrees(void **state)
{
    (void)state;
    const pinhole above = {COLUMNS / 2.0 / tan(M_PI / 8), 274, 58, 47, 0, 0.11};
    viewpoint found = find(&above);
    assert_close(found.x_mm, 58, 0, 0.3);
    assert_close(found.y_mm, 47, 0, 0.3);
    assert_close(found.above_mm, 274, 2e-3, 0);
}

static void a_mirrored_board_is_seen_from_below(void **state)
{
    (void)state;
    static const sf_point places[] = {{4, 7}, {118, 5}, {121, 88}, {3, 91}};
    const pinhole of = {391, 283, 61, 44, 0.41, 0.07};
    sf_point pixel[4];
    double homography[9], residual_mm[4], rms_mm;
    for (int i = 0; i < 4; i++) {
        pixel[i] = project(&of, places[i].x_mm, places[i].y_mm);
        pixel[i].x_mm = COLUMNS - 1 - pixel[i].x_mm;
    }
    assert_int_equal(marks_fit(pixel, places, 4, homography, residual_mm, &rms_mm), SF_OK);
    assert_true(viewpoint_find(homography, COLUMNS, ROWS).above_mm < -100);
}

/* intercept theorem: from 250 mm up, a top at 50 mm is cast 250/200 times as far out */
static void a_top_is_cast_away_from_the_camera(void **state)
{
    (void)state;
    const viewpoint from = {30, -10, 250};
    sf_point cast = viewpoint_cast(&from, (sf_point){70, 38}, 50);
    assert_close(cast.x_mm, 80, 1e-14, 0);
    assert_close(cast.y_mm, 50, 1e-14, 0);
}

static void the_inverse_of_a_map_leads_back(void **state)
{
    (void)state;
    const double map[9] = {1.7, -0.4, 31, 0.2, -2.3, 190, 4e-4, -7e-4, 0.9};
    double inverse[9];
    viewpoint_invert(map, inverse);
    sf_point there = marks_apply(map, 83, 41), back = marks_apply(inverse, there.x_mm, there.y_mm);
    assert_close(back.x_mm, 83, 1e-12, 0);
    assert_close(back.y_mm, 41, 1e-12, 0);
}

static void a_hull_leaves_out_what_lies_within(void **state)
{
    (void)state;
    sf_point points[] = {{3, 3}, {9, 2}, {5, 4}, {8, 8}, {2, 7}, {6, 5}, {5.5, 2.5}, {9, 2}};
    sf_point hull[9];
    assert_int_equal(hull_find(points, 8, hull), 5);
    const double expected[5][2] = {{2, 7}, {3, 3}, {5.5, 2.5}, {9, 2}, {8, 8}};
    /* (5.5, 2.5) is a corner: the line from (3, 3) to (9, 2) passes above it, at 2.58 */
    for (int i = 0; i < 5; i++) {
        assert_close(hull[i].x_mm, expected[i][0], 0, 0);
        assert_close(hull[i].y_mm, expected[i][1], 0, 0);
    }
}

static void a_hull_of_points_on_a_line_has_no_area(void **state)
{
    (void)state;
    sf_point points[] = {{1, 2}, {3, 6}, {2, 4}}, hull[4];
    assert_int_equal(hull_find(points, 3, hull), 2);
}

/* --- the raster --- */

typedef struct yard {
    sf_point edge[4], hole[4];
    sf_ring rings[2];
    sf_part part;
    sf_source source;
    sf_job job;
} yard;

/* A board of 80 x 60 mm with a cut-out 30..40 x 10..20, a can and a source. */
static void lay_yard(yard *laid)
{
    *laid = (yard){.edge = {{0, 0}, {80, 0}, {80, 60}, {0, 60}},
                   .hole = {{30, 10}, {40, 10}, {40, 20}, {30, 20}},
                   .part = {.x_mm = 20, .y_mm = 40, .diameter_mm = 10, .height_mm = 20},
                   .source = {.x_mm = 64, .y_mm = 14, .width_mm = 4, .height_mm = 22}};
    laid->rings[0] = (sf_ring){0, laid->edge, 4, ""};
    laid->rings[1] = (sf_ring){1, laid->hole, 4, ""};
    laid->job.rings = laid->rings;
    laid->job.ring_count = 2;
    laid->job.parts = &laid->part;
    laid->job.part_count = 1;
    laid->job.sources = &laid->source;
    laid->job.source_count = 1;
    laid->job.board.width_mm = 80;
    laid->job.board.height_mm = 60;
}

static void outline_cut_out_and_bodies_are_told_apart(void **state)
{
    (void)state;
    yard of;
    ground laid;
    const viewpoint far_above = {40, 30, 1e9};
    lay_yard(&of);
    assert_true(ground_lay(&of.job, &far_above, 0, &laid));
    assert_int_equal(ground_at(&laid, 5.3, 5.2), GROUND_BARE);
    assert_int_equal(ground_at(&laid, 35.2, 14.7), GROUND_NONE);
    assert_int_equal(ground_at(&laid, -0.3, 20), GROUND_NONE);
    assert_int_equal(ground_at(&laid, 12, 60.4), GROUND_NONE);
    assert_int_equal(ground_at(&laid, NAN, 20), GROUND_NONE);
    assert_int_equal(ground_at(&laid, 24.7, 40.1), GROUND_BODY);
    assert_int_equal(ground_at(&laid, 25.3, 40.1), GROUND_BARE);
    assert_int_equal(ground_at(&laid, 65.7, 24.6), GROUND_BODY);
    assert_int_equal(ground_at(&laid, 66.4, 24.6), GROUND_BARE);
    ground_free(&laid);
}

static void what_a_can_hides_from_a_camera_aside_is_body_too(void **state)
{
    (void)state;
    yard of;
    ground laid;
    const viewpoint aside = {-60, 40, 100};
    lay_yard(&of);
    assert_true(ground_lay(&of.job, &aside, 0, &laid));
    /* intercept theorem: the far rim of the top, 85 mm off, is cast to 85 * 100/80 = 106.25 mm */
    assert_int_equal(ground_at(&laid, 46.0, 40), GROUND_BODY);
    assert_int_equal(ground_at(&laid, 46.7, 40), GROUND_BARE);
    assert_int_equal(ground_at(&laid, 14.5, 40), GROUND_BARE);
    ground_free(&laid);
}

static void from_below_nothing_hides_the_board(void **state)
{
    (void)state;
    yard of;
    ground laid;
    const viewpoint below = {-60, 40, -100};
    lay_yard(&of);
    assert_true(ground_lay(&of.job, &below, 0, &laid));
    assert_int_equal(ground_at(&laid, 20, 40), GROUND_BARE);
    assert_int_equal(ground_at(&laid, 64, 14), GROUND_BARE);
    ground_free(&laid);
}

static void a_margin_is_kept_from_edges_and_bodies(void **state)
{
    (void)state;
    yard of;
    ground laid;
    const viewpoint far_above = {40, 30, 1e9};
    lay_yard(&of);
    assert_true(ground_lay(&of.job, &far_above, 2, &laid));
    assert_int_equal(ground_at(&laid, 1.8, 30), GROUND_BODY);
    assert_int_equal(ground_at(&laid, 2.3, 30), GROUND_BARE);
    assert_int_equal(ground_at(&laid, 35, 58.2), GROUND_BODY);
    assert_int_equal(ground_at(&laid, 41.8, 15), GROUND_BODY);
    assert_int_equal(ground_at(&laid, 42.3, 15), GROUND_BARE);
    assert_int_equal(ground_at(&laid, 26.8, 40), GROUND_BODY);
    assert_int_equal(ground_at(&laid, 27.4, 40), GROUND_BARE);
    ground_free(&laid);
}

static void a_can_of_unknown_height_is_as_high_as_cans_are(void **state)
{
    (void)state;
    /* radial cans are 1.2 to 2 times as high as wide: common practice, no source */
    sf_part can = {.diameter_mm = 12.5, .height_mm = NAN};
    assert_true(part_height_mm(&can) >= 1.2 * 12.5 && part_height_mm(&can) <= 2 * 12.5);
    can.height_mm = 7.3;
    assert_close(part_height_mm(&can), 7.3, 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_slanted_view_tells_where_the_camera_hangs),
        cmocka_unit_test(a_view_from_straight_above_counts_as_taken_by_a_lens_of_45_degrees),
        cmocka_unit_test(a_mirrored_board_is_seen_from_below),
        cmocka_unit_test(a_top_is_cast_away_from_the_camera),
        cmocka_unit_test(the_inverse_of_a_map_leads_back),
        cmocka_unit_test(a_hull_leaves_out_what_lies_within),
        cmocka_unit_test(a_hull_of_points_on_a_line_has_no_area),
        cmocka_unit_test(outline_cut_out_and_bodies_are_told_apart),
        cmocka_unit_test(what_a_can_hides_from_a_camera_aside_is_body_too),
        cmocka_unit_test(from_below_nothing_hides_the_board),
        cmocka_unit_test(a_margin_is_kept_from_edges_and_bodies),
        cmocka_unit_test(a_can_of_unknown_height_is_as_high_as_cans_are),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("viewpoint", tests, NULL, NULL);
}
