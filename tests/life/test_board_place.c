/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Distances to the footprints of sources, and the words for parts of a board. */
#include "support/check.h"

#include <math.h>

#include "life/board_place.h"

static void a_distance_is_that_to_the_footprint_however_it_is_turned(void **state)
{
    (void)state;
    sf_source source = {.x_mm = 37, .y_mm = 23, .width_mm = 14, .height_mm = 6};
    /* from the definition: 7 mm to each side and 3 mm up and down belong to it */
    assert_close(source_distance(&source, 43.5, 25.5), 0, 0, 0);
    assert_close(source_distance(&source, 49.25, 24), 5.25, 1e-12, 0);
    assert_close(source_distance(&source, 36, 15.5), 4.5, 1e-12, 0);
    assert_close(source_distance(&source, 48, 29), hypot(4, 3), 1e-12, 0);
    source.angle_deg = 90;
    assert_close(source_distance(&source, 49.25, 24), 9.25, 1e-12, 0);
    assert_close(source_distance(&source, 36, 15.5), 0.5, 1e-12, 0);
    source.angle_deg = 30; /* anticlockwise: along it lies (cos 30, sin 30) */
    double along = 7 + 2.75;
    assert_close(source_distance(&source, 37 + along * cos(M_PI / 6), 23 + along * sin(M_PI / 6)),
                 2.75, 1e-12, 0);
    assert_close(source_distance(&source, 37 - 5.5 * sin(M_PI / 6), 23 + 5.5 * cos(M_PI / 6)), 2.5,
                 1e-12, 0);
}

static void a_place_belongs_to_the_nearest_source_within_thirty_millimetres(void **state)
{
    (void)state;
    sf_source sources[] = {{.x_mm = 20, .y_mm = 20, .width_mm = 8, .height_mm = 8},
                           {.x_mm = 70, .y_mm = 20, .width_mm = 40, .height_mm = 4}};
    const sf_job job = {.sources = sources, .source_count = 2};
    assert_int_equal(source_around(&job, 36, 21), 0);
    assert_int_equal(source_around(&job, 38, 21), 1); /* nearer to the middle of the first */
    assert_int_equal(source_around(&job, 20, 53.9), 0);
    assert_int_equal(source_around(&job, 20, 54.1), NO_SOURCE);
}

static void a_board_has_nine_parts_row_by_row_from_the_lower_left(void **state)
{
    (void)state;
    static const char *const names[BOARD_THIRDS] = {"lower left", "lower middle", "lower right",
                                                    "left side",  "middle",       "right side",
                                                    "upper left", "upper middle", "upper right"};
    for (size_t third = 0; third < BOARD_THIRDS; third++) {
        double across = (double)(third % 3) / 3 + 0.21, up = (double)(third / 3) / 3 + 0.13;
        assert_int_equal(board_third(across, up), third);
        assert_string_equal(third_place(third).name, names[third]);
    }
    assert_int_equal(board_third(-0.2, 1.3), 6);
}

static extent reach(double least_x_mm, double most_x_mm, double least_y_mm, double most_y_mm)
{
    return (extent){least_x_mm,
                    most_x_mm,
                    least_y_mm,
                    most_y_mm,
                    (least_x_mm + most_x_mm) / 2,
                    (least_y_mm + most_y_mm) / 2};
}

static void what_reaches_over_two_thirds_runs_along_an_edge(void **state)
{
    (void)state;
    extent board = reach(10, 130, 5, 95);
    static const struct {
        double least_x_mm, most_x_mm, least_y_mm, most_y_mm;
        const char *name;
    } seen[] = {{11, 41, 8, 88, "along the left edge"},
                {97, 129, 20, 90, "along the right edge"},
                {15, 111, 6, 27, "along the lower edge"},
                {20, 128, 71, 92, "along the upper edge"},
                {52, 88, 7, 93, "middle"},
                {12, 128, 40, 60, "middle"},
                {14, 120, 10, 90, "rest of the board"},
                {12, 40, 8, 30, "lower left"},
                {12, 41, 20, 79, "left side"}};
    for (size_t i = 0; i < sizeof seen / sizeof *seen; i++) {
        extent of =
            reach(seen[i].least_x_mm, seen[i].most_x_mm, seen[i].least_y_mm, seen[i].most_y_mm);
        assert_string_equal(extent_place(&of, &board).name, seen[i].name);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_distance_is_that_to_the_footprint_however_it_is_turned),
        cmocka_unit_test(a_place_belongs_to_the_nearest_source_within_thirty_millimetres),
        cmocka_unit_test(a_board_has_nine_parts_row_by_row_from_the_lower_left),
        cmocka_unit_test(what_reaches_over_two_thirds_runs_along_an_edge),
    };
    return cmocka_run_group_tests_name("place", tests, NULL, NULL);
}
