/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The simulated camera: what it shows, and where, by the laws it stands for. */
#include "support/check.h"

#include <gsl/gsl_rng.h>
#include <math.h>

#include "benchmark/camera.h"

enum { WIDTH_MM = 60, HEIGHT_MM = 44, COLUMNS = 120, ROWS = 90, PIXELS = COLUMNS * ROWS };

typedef struct studio {
    plate *board;
    camera taken_by;
    view seen;
    float shown_c[PIXELS];
} studio;

/* A cold board at 21.5 C under a camera without faults. */
static void lay_studio(studio *laid)
{
    sf_point corners[4] = {{0, 0}, {WIDTH_MM, 0}, {WIDTH_MM, HEIGHT_MM}, {0, HEIGHT_MM}};
    sf_ring edge = {.points = corners, .count = 4, .reason = ""};
    *laid = (studio){.taken_by = {.columns = COLUMNS, .rows = ROWS, .set_emissivity = 1}};
    assert_int_equal(plate_new(WIDTH_MM, HEIGHT_MM, &edge, 1, &laid->board), SF_OK);
    laid->seen = (view){.board = laid->board, .ambient_c = 21.5, .emissivity = 1};
    camera_hang(&laid->taken_by, laid->board);
}

static void shoot(studio *at)
{
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    assert_non_null(chance);
    camera_shoot(&at->taken_by, &at->seen, chance, at->shown_c);
    gsl_rng_free(chance);
}

static void warm(studio *at, size_t column, size_t row, double rise_k)
{
    at->board->rise_k[row * at->board->columns + column] = rise_k;
}

/* Middle of what is shown, weighted by how far it is above the board. */
static void find_middle(const studio *in, double *column, double *row)
{
    double weight = 0;
    *column = *row = 0;
    for (size_t i = 0; i < PIXELS; i++) {
        double above_k = (double)in->shown_c[i] - 21.5;
        if (above_k < 1.5) /* board, or the bench, which is 1 K warmer */
            continue;
        weight += above_k;
        *column += above_k * (double)(i % COLUMNS);
        *row += above_k * (double)(i / COLUMNS);
    }
    *column /= weight;
    *row /= weight;
}

static void a_warm_cell_is_shown_where_it_is_found(void **state)
{
    (void)state;
    static const size_t cells[3][2] = {{9, 7}, {47, 31}, {22, 38}};
    for (int i = 0; i < 3; i++) {
        studio at;
        double column, row, seen_column, seen_row;
        lay_studio(&at);
        warm(&at, cells[i][0], cells[i][1], 60);
        shoot(&at);
        camera_find(&at.taken_by, (double)cells[i][0] + 0.5, (double)cells[i][1] + 0.5, &column,
                    &row);
        find_middle(&at, &seen_column, &seen_row);
        assert_close(seen_column, column, 0, 0.2);
        assert_close(seen_row, row, 0, 0.2);
        plate_free(at.board);
    }
}

static void a_place_higher_up_the_board_is_higher_in_the_picture(void **state)
{
    (void)state;
    studio at;
    double low_column, low_row, high_column, high_row;
    lay_studio(&at);
    camera_find(&at.taken_by, 30, 5, &low_column, &low_row);
    camera_find(&at.taken_by, 30, 40, &high_column, &high_row);
    assert_true(high_row < low_row - 20);
    camera_find(&at.taken_by, 55, 5, &high_column, &high_row);
    assert_true(high_column > low_column + 20);
    plate_free(at.board);
}

static double shown_at(const studio *in, double x_mm, double y_mm)
{
    double column, row;
    camera_find(&in->taken_by, x_mm, y_mm, &column, &row);
    return (double)in->shown_c[(size_t)lround(row) * COLUMNS + (size_t)lround(column)];
}

/* computed from the formula M^4 = e T^4 + (1 - e) R^4, kelvin (Stefan-Boltzmann, Kirchhoff) */
static void a_grey_board_shows_less_than_it_has(void **state)
{
    (void)state;
    studio at;
    lay_studio(&at);
    for (size_t i = 0; i < at.board->cells; i++)
        at.board->rise_k[i] = 48.5;
    at.seen.emissivity = 0.83;
    shoot(&at);
    double expected_c = pow(0.83 * pow(343.15, 4) + 0.17 * pow(294.65, 4), 0.25) - 273.15;
    assert_close(shown_at(&at, 30, 22), expected_c, 0, 1e-4);
    at.taken_by.set_emissivity = 0.83;
    shoot(&at);
    assert_close(shown_at(&at, 30, 22), 70, 0, 1e-4);
    plate_free(at.board);
}

/* The camera hangs towards lower y: a can hides what lies behind it, and not what lies before. */
static void a_can_hides_the_board_behind_it(void **state)
{
    (void)state;
    studio at;
    const body can = {.x_mm = 30,
                      .y_mm = 20,
                      .height_mm = 16,
                      .diameter_mm = 8,
                      .temp_c = 90,
                      .top_emissivity = 1};
    lay_studio(&at);
    at.seen.bodies = &can;
    at.seen.body_count = 1;
    shoot(&at);
    assert_close(shown_at(&at, 30, 20), 90, 0, 0.5);
    assert_close(shown_at(&at, 30, 25.5), 90, 0, 0.5);
    assert_close(shown_at(&at, 30, 14), 21.5, 0, 0.5);
    plate_free(at.board);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_warm_cell_is_shown_where_it_is_found),
        cmocka_unit_test(a_place_higher_up_the_board_is_higher_in_the_picture),
        cmocka_unit_test(a_grey_board_shows_less_than_it_has),
        cmocka_unit_test(a_can_hides_the_board_behind_it),
    };
    return cmocka_run_group_tests_name("camera", tests, NULL, NULL);
}
