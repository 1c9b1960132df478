/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The smooth surface over cells: meets them, keeps between them, and knows edges and slots. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>

#include "field/boards.h"
#include "field/fit_data.h"
#include "field/surface.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* Values of a function at the centres of the cells; freed by the caller. */
static double *values_of(const grid *laid, double (*function)(double, double))
{
    double *values = calloc(laid->nodes, sizeof *values);
    assert_non_null(values);
    for (size_t node = 0; node < laid->nodes; node++) {
        size_t cell = laid->cell_of_node[node];
        values[node] = function(cell_x_mm(laid, cell), cell_y_mm(laid, cell));
    }
    return values;
}

static surface *lay(const grid *laid, const double *values)
{
    surface *made;
    assert_int_equal(surface_new(laid, values, &made), SF_OK);
    return made;
}

static double hill(double x_mm, double y_mm)
{
    return 11.3 + 27.9 * exp(-(pow((x_mm - 31) / 13, 2) + pow((y_mm - 22) / 17, 2)));
}

static double plane(double x_mm, double y_mm)
{
    return 7.77 + 0.213 * x_mm - 0.131 * y_mm;
}

/* One warm cell among even ones. */
static double peak(double x_mm, double y_mm)
{
    return fabs(x_mm - 31.25) < 1 && fabs(y_mm - 21.25) < 1 ? 61.3 : 9.7;
}

static double step(double x_mm, double y_mm)
{
    (void)y_mm;
    return x_mm < 30 ? 47.1 : 12.9;
}

static void surface_meets_the_cells_at_their_centres(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(60, 45, 2.5);
    double (*functions[])(double, double) = {hill, plane, peak, step};
    for (size_t f = 0; f < 4; f++) {
        double *values = values_of(laid, functions[f]);
        surface *made = lay(laid, values);
        for (size_t node = 0; node < laid->nodes; node++) {
            size_t cell = laid->cell_of_node[node];
            assert_close(surface_at(made, cell_x_mm(laid, cell), cell_y_mm(laid, cell)),
                         values[node], 1e-12, 0);
        }
        surface_free(made);
        free(values);
    }
    grid_free(laid);
}

static void surface_between_centres_follows_a_smooth_field(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(60, 45, 2.5);
    double *values = values_of(laid, hill), worst = 0, bilinear_worst = 0;
    surface *made = lay(laid, values);
    unsigned long seed = 12;
    for (int i = 0; i < 3000; i++) {
        /* three cells from the edge, where the spline's natural end has died away */
        double x = 8.75 + 42.5 * next_uniform(&seed), y = 8.75 + 27.5 * next_uniform(&seed);
        grid_sample sample = grid_sample_at(laid, x, y);
        worst = fmax(worst, fabs(surface_at(made, x, y) - hill(x, y)));
        bilinear_worst = fmax(bilinear_worst, fabs(sample_value(&sample, values) - hill(x, y)));
    }
    /* a cubic spline is of fourth order, 5/384 u'''' cell^4 (C. de Boor, A Practical Guide to
     * Splines, from memory): 12 27.9/13^4 2.5^4 5/384 = 6 mK along x, half as much along y */
    assert_true(worst < 0.01);
    assert_true(bilinear_worst > 10 * worst);
    surface_free(made);
    free(values);
    grid_free(laid);
}

/* Lowest and highest of the four cells about a place, and how far apart they are. */
static void assert_held(const surface *made, const grid *laid, const double *values, double x,
                        double y)
{
    grid_sample sample = grid_sample_at(laid, x, y);
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < sample.count; i++) {
        least = fmin(least, values[sample.nodes[i]]);
        most = fmax(most, values[sample.nodes[i]]);
    }
    double swing = 0.1 * (most - least) + 1e-9, value = surface_at(made, x, y);
    assert_true(value >= least - swing && value <= most + swing);
}

static void sharp_peak_swings_no_further_than_a_tenth(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(60, 45, 2.5);
    double (*functions[])(double, double) = {peak, step, hill};
    for (size_t f = 0; f < 3; f++) {
        double *values = values_of(laid, functions[f]);
        surface *made = lay(laid, values);
        unsigned long seed = 44 + f;
        for (int i = 0; i < 5000; i++)
            assert_held(made, laid, values, 60 * next_uniform(&seed), 45 * next_uniform(&seed));
        surface_free(made);
        free(values);
    }
    grid_free(laid);
}

static void sharp_peak_leaves_even_cells_even_two_cells_off(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(60, 45, 2.5);
    double *values = values_of(laid, peak);
    surface *made = lay(laid, values);
    unsigned long seed = 3;
    for (int i = 0; i < 3000; i++) {
        double x = 60 * next_uniform(&seed), y = 45 * next_uniform(&seed);
        if (fabs(x - 31.25) >= 2.5 || fabs(y - 21.25) >= 2.5)
            assert_close(surface_at(made, x, y), 9.7, 1e-9, 0);
    }
    surface_free(made);
    free(values);
    grid_free(laid);
}

static void edge_shows_no_wiggle(void **state)
{
    (void)state;
    sf_point corners[6] = {{0, 0}, {60, 0}, {60, 20}, {25, 20}, {25, 45}, {0, 45}};
    sf_ring edge = ring_of(corners, 6);
    grid *laid;
    assert_int_equal(grid_lay(&edge, 1, 60, 45, 2.5, 10000, &laid), SF_OK);
    double *values = values_of(laid, plane);
    surface *made = lay(laid, values);
    unsigned long seed = 71;
    for (int i = 0; i < 5000; i++) {
        double x = 60 * next_uniform(&seed), y = 45 * next_uniform(&seed);
        if (x > 25 && y > 20)
            continue;
        /* a plane of 0.25 K/mm: half a cell beyond the last centre it is held, 1.25 mm of slope
         * each way, and the swing of a tenth of a cell's range adds 0.09 K */
        assert_close(surface_at(made, x, y), plane(x, y), 0, 1.25 * (0.213 + 0.131) + 0.09);
    }
    /* along the outermost row of centres it rises evenly: no ripple from the edge */
    for (double x = 2; x < 58; x += 0.37)
        assert_true(surface_at(made, x + 0.37, 1.25) > surface_at(made, x, 1.25));
    surface_free(made);
    free(values);
    grid_free(laid);
}

static void constant_stays_constant_on_a_board_with_holes(void **state)
{
    (void)state;
    sf_point outer[4], window[4];
    sf_ring rings[2] = {rectangle_ring(outer, 0, 0, 60, 45),
                        rectangle_ring(window, 20, 15, 42, 31)};
    grid *laid;
    assert_int_equal(grid_lay(rings, 2, 60, 45, 2.5, 10000, &laid), SF_OK);
    double *values = calloc(laid->nodes, sizeof *values);
    assert_non_null(values);
    for (size_t node = 0; node < laid->nodes; node++)
        values[node] = 38.21;
    surface *made = lay(laid, values);
    unsigned long seed = 9;
    for (int i = 0; i < 3000; i++)
        assert_close(surface_at(made, -4 + 68 * next_uniform(&seed), -4 + 53 * next_uniform(&seed)),
                     38.21, 1e-12, 0);
    surface_free(made);
    free(values);
    grid_free(laid);
}

static void slot_is_a_step_and_not_a_slope(void **state)
{
    (void)state;
    sf_point outer[4], slot[4];
    sf_ring rings[2] = {rectangle_ring(outer, 0, 0, 60, 45),
                        rectangle_ring(slot, 29.9, -1, 30.1, 46)};
    grid *laid;
    assert_int_equal(grid_lay(rings, 2, 60, 45, 2.5, 10000, &laid), SF_OK);
    double *values = values_of(laid, step);
    surface *made = lay(laid, values);
    for (double y = 0.3; y < 45; y += 1.7) {
        assert_close(surface_at(made, 29.85, y), 47.1, 1e-12, 0);
        assert_close(surface_at(made, 28.9, y), 47.1, 1e-12, 0);
        assert_close(surface_at(made, 30.15, y), 12.9, 1e-12, 0);
        assert_close(surface_at(made, 31.2, y), 12.9, 1e-12, 0);
    }
    surface_free(made);
    free(values);
    grid_free(laid);
}

static void beside_a_slot_the_joined_cells_are_met_in_a_straight_line(void **state)
{
    (void)state;
    sf_point outer[4], slot[4];
    sf_ring rings[2] = {rectangle_ring(outer, 0, 0, 60, 45),
                        rectangle_ring(slot, 29.9, -1, 30.1, 46)};
    grid *laid;
    assert_int_equal(grid_lay(rings, 2, 60, 45, 2.5, 10000, &laid), SF_OK);
    double *values = values_of(laid, hill);
    surface *made = lay(laid, values);
    for (double y = 3; y < 42; y += 0.77) {
        /* the column of centres at 28.75 is the last before the slot: straight in y from one centre
         * to the next, and the same all the way to the slot */
        double low = floor(y / 2.5 - 0.5) * 2.5 + 1.25, share = (y - low) / 2.5;
        double expected = (1 - share) * hill(28.75, low) + share * hill(28.75, low + 2.5);
        assert_close(surface_at(made, 29.4, y), expected, 1e-12, 0);
        assert_close(surface_at(made, 29.8, y), expected, 1e-12, 0);
    }
    surface_free(made);
    free(values);
    grid_free(laid);
}

static void place_off_the_board_takes_the_nearest_board(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(60, 45, 2.5);
    double *values = values_of(laid, hill);
    surface *made = lay(laid, values);
    assert_close(surface_at(made, 61.9, 21.25), hill(58.75, 21.25), 1e-12, 0);
    assert_close(surface_at(made, -50, -50), hill(1.25, 1.25), 1e-12, 0);
    surface_free(made);
    free(values);
    grid_free(laid);
}

static void board_of_few_cells_is_bilinear(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(9, 6, 3);
    assert_int_equal(laid->nodes, 6);
    double *values = values_of(laid, plane);
    surface *made = lay(laid, values);
    assert_close(surface_at(made, 3.9, 2.7), plane(3.9, 2.7), 1e-12, 0);
    assert_close(surface_at(made, 0.1, 2.7), plane(1.5, 2.7), 1e-12, 0);
    surface_free(made);
    free(values);
    grid_free(laid);
    laid = rectangle_grid(50, 2.5, 2.5); /* one row */
    values = values_of(laid, plane);
    made = lay(laid, values);
    assert_close(surface_at(made, 11.25, 1), plane(11.25, 1.25), 1e-12, 0);
    surface_free(made);
    surface_free(NULL);
    free(values);
    grid_free(laid);
}

/* A ridge two cells wide, on which the next rows are 5 apart. */
static double plateau(double x_mm, double y_mm)
{
    return x_mm > 25 && x_mm < 30 ? 100 - 5 * fmod(floor(y_mm / 2.5), 2) : 0;
}

/* A cubic spline swings beyond a plateau by an eighth of its height; no more of it is let through
 * than a tenth of what the cells about the place differ by. */
static void surface_does_not_ring_beyond_a_steep_side(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(60, 45, 2.5);
    double *values = values_of(laid, plateau), most = 0;
    surface *made = lay(laid, values);
    for (double y = 10; y < 35; y += 0.19)
        most = fmax(most, surface_at(made, 27.5, y));
    assert_close(most, 100 + 0.1 * 5, 1e-9, 0);
    surface_free(made);
    free(values);
    grid_free(laid);
}

static double ridge(double x_mm, double y_mm)
{
    return 40 * exp(-hypot(x_mm - 31, y_mm - 22) / 12);
}

static void surface_does_not_jump_at_lines_through_centres(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(60, 45, 2.5);
    double *values = values_of(laid, ridge);
    surface *made = lay(laid, values);
    for (double y = 3.1; y < 41; y += 0.23)
        for (double x = 6.25; x < 52; x += 2.5) { /* round millimetres often fall on such lines */
            assert_close(surface_at(made, x + 1e-7, y), surface_at(made, x, y), 0, 1e-4);
            assert_close(surface_at(made, x - 1e-7, y), surface_at(made, x, y), 0, 1e-4);
        }
    surface_free(made);
    free(values);
    grid_free(laid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(surface_meets_the_cells_at_their_centres),
        cmocka_unit_test(surface_between_centres_follows_a_smooth_field),
        cmocka_unit_test(sharp_peak_swings_no_further_than_a_tenth),
        cmocka_unit_test(sharp_peak_leaves_even_cells_even_two_cells_off),
        cmocka_unit_test(edge_shows_no_wiggle),
        cmocka_unit_test(constant_stays_constant_on_a_board_with_holes),
        cmocka_unit_test(slot_is_a_step_and_not_a_slope),
        cmocka_unit_test(beside_a_slot_the_joined_cells_are_met_in_a_straight_line),
        cmocka_unit_test(place_off_the_board_takes_the_nearest_board),
        cmocka_unit_test(board_of_few_cells_is_bilinear),
        cmocka_unit_test(surface_does_not_ring_beyond_a_steep_side),
        cmocka_unit_test(surface_does_not_jump_at_lines_through_centres),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
