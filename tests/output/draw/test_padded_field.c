/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The surface through the cells, and lines of equal value on it. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include "output/draw/contours.h"
#include "output/draw/padded_field.h"
#include "output/draw/scale.h"

enum { COLUMNS = 23, ROWS = 17 };
static const double cell_mm = 2.3;

static unsigned char inside[COLUMNS * ROWS];
static double values[COLUMNS * ROWS];

static double plane_at(double x_mm, double y_mm)
{
    return 41.7 + 0.83 * x_mm - 0.37 * y_mm;
}

/* an L: the upper right part is no board */
static bool is_board(size_t column, size_t row)
{
    return column < 14 || row < 9;
}

static sf_grid lay_grid(double (*field)(double, double), bool whole)
{
    for (size_t row = 0; row < ROWS; row++)
        for (size_t column = 0; column < COLUMNS; column++) {
            size_t cell = row * COLUMNS + column;
            inside[cell] = whole || is_board(column, row);
            values[cell] = inside[cell] ? field(((double)column + 0.5) * cell_mm,
                                                ((double)row + 0.5) * cell_mm)
                                        : (double)NAN;
        }
    return (sf_grid){cell_mm, COLUMNS, ROWS, inside};
}

static double sample(const padded_field *from, double x_mm, double y_mm)
{
    sampler along;
    float value;
    assert_int_equal(sampler_open(&along, from, x_mm, 1, 1), SF_OK);
    sampler_row(&along, y_mm, &value);
    sampler_close(&along);
    return (double)value;
}

static void a_plane_is_met_everywhere_on_the_board_also_at_its_edges(void **state)
{
    (void)state;
    sf_grid grid = lay_grid(plane_at, false);
    padded_field made;
    assert_int_equal(padded_field_make(&grid, values, &made), SF_OK);
    for (double x_mm = 0.1; x_mm < COLUMNS * cell_mm; x_mm += 0.71)
        for (double y_mm = 0.1; y_mm < ROWS * cell_mm; y_mm += 0.67) {
            bool lower = y_mm <= 9 * cell_mm, left = x_mm <= 14 * cell_mm;
            /* where the surface is held to the values of the board it cannot go on straight */
            bool at_corner =
                plane_at(x_mm, y_mm) < made.least + 6 || plane_at(x_mm, y_mm) > made.most - 6;
            if ((lower || left) && !at_corner)
                assert_close(sample(&made, x_mm, y_mm), plane_at(x_mm, y_mm), 0, 2e-4);
        }
    padded_field_free(&made);
}

static double wave_at(double x_mm, double y_mm)
{
    return 52.3 + 9.7 * sin(x_mm / 6.1) * cos(y_mm / 7.3);
}

static void cells_are_met_at_their_centres(void **state)
{
    (void)state;
    sf_grid grid = lay_grid(wave_at, true);
    padded_field made;
    assert_int_equal(padded_field_make(&grid, values, &made), SF_OK);
    for (size_t row = 0; row < ROWS; row += 3)
        for (size_t column = 0; column < COLUMNS; column += 2)
            assert_close(
                sample(&made, ((double)column + 0.5) * cell_mm, ((double)row + 0.5) * cell_mm),
                values[row * COLUMNS + column], 0, 1e-4);
    padded_field_free(&made);
}

static double slope_at(double x_mm, double y_mm)
{
    return 31.2 + 44.7 * exp(-x_mm / 14.3 - y_mm / 19.1);
}

/* largest error between cells of this size, away from the edges of a slope of 60 x 60 mm */
static double worst_error(double cell)
{
    size_t side = (size_t)(60 / cell);
    unsigned char *all = calloc(side * side, 1);
    double *slopes = calloc(side * side, sizeof *slopes), worst = 0;
    assert_non_null(all);
    assert_non_null(slopes);
    for (size_t i = 0; i < side * side; i++) {
        all[i] = 1;
        slopes[i] = slope_at(((double)(i % side) + 0.5) * cell, ((double)(i / side) + 0.5) * cell);
    }
    sf_grid grid = {cell, side, side, all};
    padded_field made;
    assert_int_equal(padded_field_make(&grid, slopes, &made), SF_OK);
    for (double x_mm = 8; x_mm < 50; x_mm += 0.37)
        for (double y_mm = 8; y_mm < 50; y_mm += 0.41)
            worst = fmax(worst, fabs(sample(&made, x_mm, y_mm) - slope_at(x_mm, y_mm)));
    padded_field_free(&made);
    free(all);
    free(slopes);
    return worst;
}

static void half_the_cell_leaves_an_eighth_of_the_error(void **state)
{
    (void)state;
    /* third-order convergence: Keys, IEEE Trans. ASSP 29 (1981) 1153 */
    double coarse = worst_error(2), fine = worst_error(1);
    assert_true(coarse < 0.01);
    assert_true(coarse / fine > 6.5 && coarse / fine < 10);
}

static double spike_at(double x_mm, double y_mm)
{
    return fabs(x_mm - 11.5 * cell_mm) < 1 && fabs(y_mm - 8.5 * cell_mm) < 1 ? 93.0 : 21.0;
}

static void a_spike_does_not_swing_below_its_surroundings(void **state)
{
    (void)state;
    sf_grid grid = lay_grid(spike_at, true);
    padded_field made;
    assert_int_equal(padded_field_make(&grid, values, &made), SF_OK);
    for (double x_mm = 12; x_mm < 40; x_mm += 0.31)
        for (double y_mm = 6; y_mm < 32; y_mm += 0.29) {
            double value = sample(&made, x_mm, y_mm);
            /* held between the four cells about, widened by a tenth of their range */
            assert_true(value >= 21 - 7.2 - 1e-4 && value <= 93 + 7.2 + 1e-4);
            bool beside =
                fabs(x_mm - 11.5 * cell_mm) > cell_mm || fabs(y_mm - 8.5 * cell_mm) > cell_mm;
            if (beside)
                assert_close(value, 21, 0, 1e-4);
        }
    padded_field_free(&made);
}

static void gaps_are_filled_without_a_trace(void **state)
{
    (void)state;
    sf_grid grid = lay_grid(wave_at, false);
    values[3 * COLUMNS + 4] = NAN;
    values[6 * COLUMNS + 9] = INFINITY;
    values[6 * COLUMNS + 10] = -1e300;
    padded_field made;
    assert_int_equal(padded_field_make(&grid, values, &made), SF_OK);
    for (size_t i = 0; i < made.columns * made.rows; i++) {
        assert_true(isfinite(made.values[i]));
        assert_true((double)made.values[i] >= made.least - 1e-4);
        assert_true((double)made.values[i] <= made.most + 1e-4);
    }
    padded_field_free(&made);
}

static void a_board_without_values_is_refused(void **state)
{
    (void)state;
    sf_grid grid = lay_grid(plane_at, true);
    padded_field made;
    for (size_t i = 0; i < COLUMNS * ROWS; i++)
        values[i] = NAN;
    assert_int_equal(padded_field_make(&grid, values, &made), SF_ERROR_NUMERIC);
    assert_null(made.values);
}

static void a_mirrored_field_gives_a_mirrored_surface(void **state)
{
    (void)state;
    sf_grid grid = lay_grid(wave_at, false);
    padded_field made, mirrored;
    assert_int_equal(padded_field_make(&grid, values, &made), SF_OK);
    for (size_t row = 0; row < ROWS; row++)
        for (size_t column = 0; column < COLUMNS / 2; column++) {
            size_t a = row * COLUMNS + column, b = row * COLUMNS + COLUMNS - 1 - column;
            double value = values[a];
            unsigned char is_inside = inside[a];
            values[a] = values[b];
            values[b] = value;
            inside[a] = inside[b];
            inside[b] = is_inside;
        }
    assert_int_equal(padded_field_make(&grid, values, &mirrored), SF_OK);
    for (double x_mm = 0.3; x_mm < COLUMNS * cell_mm; x_mm += 1.13)
        for (double y_mm = 0.3; y_mm < ROWS * cell_mm; y_mm += 1.27)
            assert_close(sample(&mirrored, COLUMNS * cell_mm - x_mm, y_mm),
                         sample(&made, x_mm, y_mm), 0, 2e-4);
    padded_field_free(&made);
    padded_field_free(&mirrored);
}

/* samples of a function of the place in pixels */
static lattice lattice_of(double (*field)(double, double), size_t columns, size_t rows)
{
    lattice made = {columns, rows, 13.7, 21.3, 4.1, calloc(columns * rows, sizeof(float))};
    assert_non_null(made.values);
    for (size_t i = 0; i < columns * rows; i++)
        made.values[i] = (float)field(made.left_px + (double)(i % columns) * made.step_px,
                                      made.top_px + (double)(i / columns) * made.step_px);
    return made;
}

static contours traced(const lattice *on, const double *levels, size_t count)
{
    contours lines = {0};
    assert_int_equal(contours_trace(on, levels, count, &lines), SF_OK);
    return lines;
}

static void lines_of_a_plane_are_straight_and_go_from_edge_to_edge(void **state)
{
    (void)state;
    static const double levels[] = {50, 70, 90};
    lattice on = lattice_of(plane_at, 60, 45);
    contours lines = traced(&on, levels, 3);
    assert_int_equal(lines.count, 3);
    for (size_t i = 0; i < 3; i++) {
        const contour *line = &lines.lines[i];
        const place *places = lines.places + line->first;
        assert_close(line->level, levels[i], 0, 0);
        assert_false(line->closed);
        for (size_t k = 0; k < line->count; k++)
            assert_close(plane_at(places[k].x_px, places[k].y_px), line->level, 0, 1e-3);
        assert_true(hypot(places[line->count - 1].x_px - places[0].x_px,
                          places[line->count - 1].y_px - places[0].y_px) > 40);
    }
    contours_free(&lines);
    free(on.values);
}

static double cone_at(double x_px, double y_px)
{
    return 96.3 - 0.71 * hypot(x_px - 131.2, y_px - 108.9);
}

static void lines_of_a_cone_are_closed_circles(void **state)
{
    (void)state;
    static const double levels[] = {40, 60, 80};
    lattice on = lattice_of(cone_at, 64, 50);
    contours lines = traced(&on, levels, 3);
    assert_int_equal(lines.count, 3);
    for (size_t i = 0; i < 3; i++) {
        const contour *line = &lines.lines[i];
        const place *places = lines.places + line->first;
        double radius_px = (96.3 - line->level) / 0.71, around_px = 0;
        assert_true(line->closed);
        for (size_t k = 0; k < line->count; k++) {
            assert_close(hypot(places[k].x_px - 131.2, places[k].y_px - 108.9), radius_px, 0, 0.2);
            if (k > 0)
                around_px +=
                    hypot(places[k].x_px - places[k - 1].x_px, places[k].y_px - places[k - 1].y_px);
        }
        assert_close(around_px, 2 * 3.14159265 * radius_px, 0.01, 0);
        assert_close(places[0].x_px, places[line->count - 1].x_px, 0, 1e-9);
    }
    contours_free(&lines);
    free(on.values);
}

static double saddle_at(double x_px, double y_px)
{
    return 30 + (x_px - 100.3) * (y_px - 90.1) / 100;
}

static void lines_at_a_saddle_do_not_cross(void **state)
{
    (void)state;
    double levels[] = {30.0017};
    lattice on = lattice_of(saddle_at, 44, 36);
    contours lines = traced(&on, levels, 1);
    /* two branches of a hyperbola, each in opposite quarters */
    assert_int_equal(lines.count, 2);
    for (size_t i = 0; i < 2; i++) {
        const place *places = lines.places + lines.lines[i].first;
        bool right = places[0].x_px > 100.3;
        for (size_t k = 0; k < lines.lines[i].count; k++)
            assert_true((places[k].x_px > 100.3 - 4.1) == right ||
                        fabs(places[k].x_px - 100.3) < 4.1);
    }
    contours_free(&lines);
    free(on.values);
}

static void a_level_beyond_the_values_has_no_line(void **state)
{
    (void)state;
    double levels[] = {-300, 1000};
    lattice on = lattice_of(cone_at, 20, 20);
    contours lines = traced(&on, levels, 2);
    assert_int_equal(lines.count, 0);
    contours_free(&lines);
    free(on.values);
}

static void levels_are_round_and_five_to_ten(void **state)
{
    (void)state;
    for (double range = 0.013; range < 900; range *= 1.17) {
        double least = 31.37, step = scale_step(least, least + range);
        value_scale scale = scale_make(least, least + range, "C");
        double digit = step / pow(10, floor(log10(step) + 1e-9));
        assert_true(fabs(digit - 1) < 1e-9 || fabs(digit - 2) < 1e-9 || fabs(digit - 5) < 1e-9);
        /* steps of 2.5 times leave four at the least */
        assert_in_range(scale.level_count, 4, 10);
        for (size_t i = 0; i < scale.level_count; i++) {
            double times = scale.levels[i] / step;
            assert_close(times, round(times), 0, 1e-6);
            assert_true(scale.levels[i] >= least && scale.levels[i] <= least + range);
        }
        assert_true(scale.low <= least && scale.high >= least + range);
        assert_true(scale.high - scale.low < 1.4 * range);
    }
}

static void a_level_is_written_as_finely_as_its_step(void **state)
{
    (void)state;
    char text[SCALE_TEXT];
    value_scale coarse = scale_make(24.2, 96.1, "C"), fine = scale_make(0.11, 0.74, "K");
    scale_write_level(&coarse, 70, text);
    assert_string_equal(text, "70");
    assert_string_equal(coarse.unit, "\u00b0C");
    scale_write_level(&fine, 0.3, text);
    assert_string_equal(text, "0.3");
    assert_string_equal(fine.unit, "K");
    value_scale flat = scale_make(37.5, 37.5, "C");
    assert_true(flat.high > flat.low);
    assert_close(scale_share(&coarse, -400), 0, 0, 0);
    assert_close(scale_share(&coarse, 400), 1, 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_plane_is_met_everywhere_on_the_board_also_at_its_edges),
        cmocka_unit_test(cells_are_met_at_their_centres),
        cmocka_unit_test(half_the_cell_leaves_an_eighth_of_the_error),
        cmocka_unit_test(a_spike_does_not_swing_below_its_surroundings),
        cmocka_unit_test(gaps_are_filled_without_a_trace),
        cmocka_unit_test(a_board_without_values_is_refused),
        cmocka_unit_test(a_mirrored_field_gives_a_mirrored_surface),
        cmocka_unit_test(lines_of_a_plane_are_straight_and_go_from_edge_to_edge),
        cmocka_unit_test(lines_of_a_cone_are_closed_circles),
        cmocka_unit_test(lines_at_a_saddle_do_not_cross),
        cmocka_unit_test(a_level_beyond_the_values_has_no_line),
        cmocka_unit_test(levels_are_round_and_five_to_ten),
        cmocka_unit_test(a_level_is_written_as_finely_as_its_step),
    };
    return cmocka_run_group_tests_name("draw: padded_field", tests, NULL, NULL);
}
