/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a footprint covers: its area, its centre, its turn, at the edge and below the size of a
 * cell. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include "field/boards.h"
#include "field/fit_data.h"

/* Area under a rectangle and the first moments of its shares. */
static footprint cover(const grid *laid, double x, double y, double width, double height,
                       double angle)
{
    footprint made;
    assert_int_equal(grid_cover(laid, x, y, width, height, angle, &made), SF_OK);
    double shares = 0;
    for (size_t i = 0; i < made.count; i++) {
        /* points stand half a cell apart and less: a turned footprint's do not fall evenly */
        assert_true(made.shares[i].share > 0 && made.shares[i].share < 1.05);
        shares += made.shares[i].share;
    }
    assert_close(made.area_mm2, shares * laid->cell_mm * laid->cell_mm, 1e-12, 0);
    return made;
}

static void upright_footprint_has_its_exact_area_and_centre(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(100, 80, 2.5);
    footprint covered = cover(laid, 43.21, 37.9, 13.7, 4.3, 0);
    assert_close(covered.area_mm2, 13.7 * 4.3, 1e-12, 0);
    free(covered.shares);
    covered = cover(laid, 43.21, 37.9, 13.7, 4.3, 180);
    assert_close(covered.area_mm2, 13.7 * 4.3, 1e-12, 0);
    free(covered.shares);
    grid_free(laid);
}

static void turned_footprint_has_its_area_within_one_percent(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(100, 80, 2.5);
    const double angles[] = {11, 30, 45, 63.4, 90, -25, 117, 270, 359};
    /* 64 points a cell: one counts 0.1 mm2, and a side of 20 mm has some 60 points beside it */
    for (size_t i = 0; i < sizeof angles / sizeof *angles; i++) {
        footprint covered = cover(laid, 47.3, 41.7, 23, 17, angles[i]);
        assert_close(covered.area_mm2, 23 * 17, 0.01, 0);
        free(covered.shares);
    }
    grid_free(laid);
}

static void quarter_turn_swaps_width_and_height(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(100, 80, 2.5);
    footprint turned = cover(laid, 40, 40, 30, 10, 90), upright = cover(laid, 40, 40, 10, 30, 0);
    assert_int_equal(turned.count, upright.count);
    for (size_t i = 0; i < turned.count; i++) {
        assert_int_equal(turned.shares[i].node, upright.shares[i].node);
        assert_close(turned.shares[i].share, upright.shares[i].share, 0.01, 0);
    }
    free(turned.shares);
    free(upright.shares);
    grid_free(laid);
}

static void footprint_turns_anticlockwise(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(100, 80, 2.5);
    footprint covered = cover(laid, 50, 40, 40, 4, 30);
    double moment = 0;
    for (size_t i = 0; i < covered.count; i++) {
        size_t cell = laid->cell_of_node[covered.shares[i].node];
        moment +=
            covered.shares[i].share * (cell_x_mm(laid, cell) - 50) * (cell_y_mm(laid, cell) - 40);
    }
    /* second moment of a w x h rectangle at angle a: area (w^2 - h^2)/24 sin 2a, textbook */
    double expected = 160 * (1600 - 16) / 24.0 * sin(M_PI / 3);
    assert_close(moment * laid->cell_mm * laid->cell_mm, expected, 0.02, 0);
    free(covered.shares);
    grid_free(laid);
}

static void heat_keeps_its_centre_wherever_it_falls(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(100, 80, 2.5);
    const double sides_mm[][3] = {{0.3, 0.2, 0}, {2, 1.25, 0}, {2, 1.25, 37}, {9, 4, 63}};
    for (size_t shape = 0; shape < 4; shape++)
        for (size_t step = 0; step < 7; step++) {
            double x_mm = 41 + 0.41 * (double)step, y_mm = 33 + 0.59 * (double)step;
            footprint covered =
                cover(laid, x_mm, y_mm, sides_mm[shape][0], sides_mm[shape][1], sides_mm[shape][2]);
            double moment_x = 0, moment_y = 0;
            for (size_t i = 0; i < covered.count; i++) {
                size_t cell = laid->cell_of_node[covered.shares[i].node];
                moment_x += covered.shares[i].share * cell_x_mm(laid, cell);
                moment_y += covered.shares[i].share * cell_y_mm(laid, cell);
            }
            /* weights of bilinear interpolation reproduce what is linear */
            double shares = covered.area_mm2 / (laid->cell_mm * laid->cell_mm);
            assert_close(moment_x / shares, x_mm, 1e-10, 0);
            assert_close(moment_y / shares, y_mm, 1e-10, 0);
            free(covered.shares);
        }
    grid_free(laid);
}

static void source_over_the_edge_counts_what_is_board(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(100, 80, 2.5);
    footprint covered = cover(laid, 100, 40, 12, 9, 0);
    assert_close(covered.area_mm2, 6 * 9, 1e-12, 0);
    free(covered.shares);
    grid_free(laid);
}

static void source_off_the_board_counts_as_the_nearest_cell(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(100, 80, 2.5);
    footprint covered = cover(laid, 101.5, 41, 2, 2, 0);
    assert_int_equal(covered.count, 1);
    assert_int_equal(covered.shares[0].node, grid_nearest_node(laid, 98.75, 41));
    assert_close(covered.area_mm2, 6.25, 1e-12, 0);
    free(covered.shares);
    grid_free(laid);
}

static void source_far_smaller_than_a_cell_keeps_its_area(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(100, 80, 2.5);
    footprint covered = cover(laid, 33.3, 21.7, 0.4, 0.3, 0);
    assert_close(covered.area_mm2, 0.12, 1e-10, 0);
    free(covered.shares);
    covered = cover(laid, 33.3, 21.7, 0.02, 0.03, 33);
    assert_close(covered.area_mm2, 6e-4, 1e-10, 0);
    free(covered.shares);
    grid_free(laid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(upright_footprint_has_its_exact_area_and_centre),
        cmocka_unit_test(turned_footprint_has_its_area_within_one_percent),
        cmocka_unit_test(quarter_turn_swaps_width_and_height),
        cmocka_unit_test(footprint_turns_anticlockwise),
        cmocka_unit_test(heat_keeps_its_centre_wherever_it_falls),
        cmocka_unit_test(source_over_the_edge_counts_what_is_board),
        cmocka_unit_test(source_off_the_board_counts_as_the_nearest_cell),
        cmocka_unit_test(source_far_smaller_than_a_cell_keeps_its_area),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
