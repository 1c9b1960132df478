/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From outline to cells: what is board, what exchanges heat, what a place weighs. */
#include "support/check.h"

#include <stdlib.h>

#include "core/geometry.h"
#include "field/balance.h"
#include "field/boards.h"
#include "field/fit_data.h"

static grid *lay(const sf_ring *rings, size_t count, double width_mm, double height_mm,
                 double cell_mm)
{
    grid *laid;
    assert_int_equal(grid_lay(rings, count, width_mm, height_mm, cell_mm, 1000000, &laid), SF_OK);
    return laid;
}

/* Steady field of heat in one node, at a spreading length. Freed by the caller. */
static double *field_of_node(const grid *laid, int node, double length_mm)
{
    balance *matrix;
    double *field = calloc(laid->nodes, sizeof *field);
    assert_non_null(field);
    field[node] = 137;
    assert_int_equal(balance_new(laid, &matrix), SF_OK);
    assert_int_equal(balance_factor(matrix, length_mm, NULL), SF_OK);
    assert_int_equal(balance_solve(matrix, field, field, 1), SF_OK);
    balance_free(matrix);
    return field;
}

static double total_weight(const grid_sample *sample)
{
    double sum = 0;
    for (size_t i = 0; i < sample->count; i++)
        sum += sample->weights[i];
    return sum;
}

static void board_with_cut_outs_has_only_the_cells_whose_centre_is_board(void **state)
{
    (void)state;
    sf_point outer[4], window[4], notch[3] = {{44, 0}, {60, 0}, {60, 17}};
    sf_ring rings[3] = {rectangle_ring(outer, 0, 0, 60, 36),
                        rectangle_ring(window, 12.3, 10.6, 31.4, 22.2), ring_of(notch, 3)};
    grid *laid = lay(rings, 3, 60, 36, 2);
    size_t inside = 0;
    for (size_t cell = 0; cell < laid->columns * laid->rows; cell++) {
        double x = cell_x_mm(laid, cell), y = cell_y_mm(laid, cell);
        bool in_window = x > 12.3 && x < 31.4 && y > 10.6 && y < 22.2;
        bool in_notch = y < (x - 44) * 17 / 16;
        assert_int_equal(laid->inside[cell], !in_window && !in_notch);
        assert_int_equal(laid->node_of_cell[cell] != NO_NODE, laid->inside[cell]);
        if (laid->inside[cell])
            assert_int_equal(laid->cell_of_node[inside++], cell);
    }
    assert_int_equal(laid->nodes, inside);
    grid_free(laid);
}

static void l_shape_has_the_area_of_its_ring(void **state)
{
    (void)state;
    sf_point corners[6] = {{0, 0}, {90, 0}, {90, 30}, {40, 30}, {40, 70}, {0, 70}};
    sf_ring edge = ring_of(corners, 6);
    grid *laid = lay(&edge, 1, 90, 70, 2.5);
    /* 90 x 30 + 40 x 40 mm2, every side a whole number of cells */
    assert_close((double)laid->nodes * laid->cell_mm * laid->cell_mm, 4300, 1e-12, 0);
    assert_close((double)laid->nodes * laid->cell_mm * laid->cell_mm, ring_area(&edge), 1e-12, 0);
    grid_free(laid);
}

static void slanted_outline_has_its_area_within_a_cell_along_the_edge(void **state)
{
    (void)state;
    sf_point corners[5] = {{7, 0}, {83, 11}, {90, 52}, {37, 70}, {0, 31}};
    sf_ring edge = ring_of(corners, 5);
    grid *laid = lay(&edge, 1, 90, 70, 1.25);
    /* cells are in or out by their centre: the error is a random walk along 240 cells of edge,
     * about sqrt(240/12) = 4.5 cells of some 2,700, three times which is 0.5 % */
    assert_close((double)laid->nodes * laid->cell_mm * laid->cell_mm, ring_area(&edge), 0.005, 0);
    grid_free(laid);
}

static void every_inner_neighbour_pair_is_linked_once(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(35, 20, 2.5);
    assert_int_equal(laid->columns, 14);
    assert_int_equal(laid->rows, 8);
    assert_int_equal(laid->link_count, 13 * 8 + 14 * 7);
    for (size_t i = 0; i < laid->link_count; i++) {
        grid_link pair = laid->links[i];
        assert_true(pair.second == pair.first + 1 || pair.second == pair.first + 14);
        if (i > 0)
            assert_true(pair.first > laid->links[i - 1].first ||
                        (pair.first == laid->links[i - 1].first &&
                         pair.second > laid->links[i - 1].second));
    }
    grid_free(laid);
}

static void cell_is_two_to_two_and_a_half_mm_where_none_is_asked(void **state)
{
    (void)state;
    const double sides[][2] = {{220, 160}, {100, 80}, {57, 43}, {249, 233}, {41.3, 199}};
    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
        sf_point corners[4];
        sf_ring edge = rectangle_ring(corners, 0, 0, sides[i][0], sides[i][1]);
        grid *laid;
        assert_int_equal(grid_lay(&edge, 1, sides[i][0], sides[i][1], 0, 10000, &laid), SF_OK);
        assert_in_range((int)(1000 * laid->cell_mm), 2000, 2600);
        assert_close((double)laid->columns * laid->cell_mm, sides[i][0], 1e-12, 0);
        grid_free(laid);
    }
}

static void cells_grow_where_the_board_would_have_too_many(void **state)
{
    (void)state;
    sf_point corners[4];
    sf_ring edge = rectangle_ring(corners, 0, 0, 600, 500);
    const size_t most[] = {10000, 700, 4};
    for (size_t i = 0; i < sizeof most / sizeof *most; i++) {
        grid *laid;
        assert_int_equal(grid_lay(&edge, 1, 600, 500, 0, most[i], &laid), SF_OK);
        /* whole columns and rows: one of each may be too many */
        double allowed = (double)most[i] + (double)laid->columns + (double)laid->rows + 1;
        assert_true((double)laid->nodes <= allowed);
        assert_true((double)laid->nodes >= (double)most[i] / 2);
        grid_free(laid);
    }
}

static void small_board_gets_finer_cells(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(10, 10, 0);
    assert_in_range(laid->columns, 12, 20);
    assert_int_equal(laid->columns, laid->rows);
    grid_free(laid);
}

static void outline_that_leaves_no_cell_is_refused(void **state)
{
    (void)state;
    sf_point outer[4], hole[4];
    sf_ring rings[2] = {rectangle_ring(outer, 0, 0, 40, 30), rectangle_ring(hole, -1, -1, 41, 31)};
    grid *laid;
    assert_int_equal(grid_lay(rings, 2, 40, 30, 0, 10000, &laid), SF_ERROR_DATA);
    assert_null(laid);
    assert_int_equal(grid_lay(rings, 0, 40, 30, 0, 10000, &laid), SF_ERROR_DATA);
    assert_null(laid);
}

static void slot_narrower_than_a_cell_insulates(void **state)
{
    (void)state;
    sf_point outer[4], slot[4];
    /* right through the board, 0.3 mm wide between two columns of centres */
    sf_ring rings[2] = {rectangle_ring(outer, 0, 0, 60, 40),
                        rectangle_ring(slot, 29.9, -1, 30.2, 41)};
    grid *laid = lay(rings, 2, 60, 40, 2.5);
    assert_int_equal(laid->nodes, 24 * 16);
    int heated = grid_nearest_node(laid, 27, 21);
    double *field = field_of_node(laid, heated, 19);
    for (size_t node = 0; node < laid->nodes; node++) {
        if (cell_x_mm(laid, laid->cell_of_node[node]) > 30)
            assert_true(field[node] == 0);
        else
            assert_true(field[node] > 0);
    }
    free(field);
    grid_free(laid);
}

static void slot_that_misses_every_centre_line_still_insulates(void **state)
{
    (void)state;
    sf_point outer[4];
    /* slanted, 0.2 mm wide, from edge to edge */
    sf_point slot[4] = {{23, -1}, {23.2, -1}, {41.2, 41}, {41, 41}};
    sf_ring rings[2] = {rectangle_ring(outer, 0, 0, 60, 40), ring_of(slot, 4)};
    grid *laid = lay(rings, 2, 60, 40, 2.5);
    double *field = field_of_node(laid, grid_nearest_node(laid, 11, 21), 19);
    for (size_t node = 0; node < laid->nodes; node++) {
        double x = cell_x_mm(laid, laid->cell_of_node[node]);
        double y = cell_y_mm(laid, laid->cell_of_node[node]);
        bool beyond = x > 23.2 + (y + 1) * 18 / 42;
        assert_true(beyond ? field[node] == 0 : field[node] > 0);
    }
    free(field);
    grid_free(laid);
}

static void short_slot_lets_heat_round_its_ends(void **state)
{
    (void)state;
    sf_point outer[4], slot[4];
    sf_ring rings[2] = {rectangle_ring(outer, 0, 0, 60, 40),
                        rectangle_ring(slot, 29.9, -1, 30.1, 31)};
    grid *cut = lay(rings, 2, 60, 40, 2.5), *whole = lay(rings, 1, 60, 40, 2.5);
    int heated = grid_nearest_node(cut, 21, 11), beyond = grid_nearest_node(cut, 39, 11);
    double *with = field_of_node(cut, heated, 19), *without = field_of_node(whole, heated, 19);
    assert_true(with[beyond] > 0);
    assert_true(with[beyond] < 0.6 * without[beyond]);
    assert_true(with[heated] > without[heated]);
    free(with);
    free(without);
    grid_free(cut);
    grid_free(whole);
}

static void island_cut_off_from_the_rest_stays_cold(void **state)
{
    (void)state;
    sf_point outer[4], moat_left[4], moat_right[4], moat_low[4], moat_high[4];
    sf_ring rings[5] = {rectangle_ring(outer, 0, 0, 60, 40),
                        rectangle_ring(moat_left, 19.9, 9.9, 20.1, 30.1),
                        rectangle_ring(moat_right, 39.9, 9.9, 40.1, 30.1),
                        rectangle_ring(moat_low, 19.9, 9.9, 40.1, 10.1),
                        rectangle_ring(moat_high, 19.9, 29.9, 40.1, 30.1)};
    grid *laid = lay(rings, 5, 60, 40, 2.5);
    double *field = field_of_node(laid, grid_nearest_node(laid, 11, 21), 25);
    for (size_t node = 0; node < laid->nodes; node++) {
        double x = cell_x_mm(laid, laid->cell_of_node[node]);
        double y = cell_y_mm(laid, laid->cell_of_node[node]);
        bool island = x > 20 && x < 40 && y > 10 && y < 30;
        assert_true(island ? field[node] == 0 : field[node] > 0);
    }
    free(field);
    grid_free(laid);
}

static void sample_weights_sum_to_one_everywhere(void **state)
{
    (void)state;
    sf_point outer[6] = {{0, 0}, {90, 0}, {90, 30}, {40, 30}, {40, 70}, {0, 70}}, slot[4];
    sf_ring rings[2] = {ring_of(outer, 6), rectangle_ring(slot, 18, 20, 18.4, 60)};
    grid *laid = lay(rings, 2, 90, 70, 2.5);
    unsigned long seed = 4711;
    for (int i = 0; i < 4000; i++) {
        double x = -10 + 110 * next_uniform(&seed), y = -10 + 90 * next_uniform(&seed);
        grid_sample sample = grid_sample_at(laid, x, y);
        assert_in_range(sample.count, 1, 4);
        assert_close(total_weight(&sample), 1, 1e-14, 0);
        for (size_t k = 0; k < sample.count; k++)
            assert_true(sample.weights[k] > 0 && sample.nodes[k] >= 0 &&
                        (size_t)sample.nodes[k] < laid->nodes);
    }
    grid_free(laid);
}

static void sample_meets_a_plane_between_cells(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(50, 35, 2.5);
    double *plane = calloc(laid->nodes, sizeof *plane);
    assert_non_null(plane);
    for (size_t node = 0; node < laid->nodes; node++)
        plane[node] = 3.7 + 0.31 * cell_x_mm(laid, laid->cell_of_node[node]) -
                      0.83 * cell_y_mm(laid, laid->cell_of_node[node]);
    unsigned long seed = 99;
    for (int i = 0; i < 500; i++) {
        double x = 1.25 + 47.5 * next_uniform(&seed), y = 1.25 + 32.5 * next_uniform(&seed);
        grid_sample sample = grid_sample_at(laid, x, y);
        assert_close(sample_value(&sample, plane), 3.7 + 0.31 * x - 0.83 * y, 1e-12, 1e-12);
    }
    free(plane);
    grid_free(laid);
}

static void sample_takes_nothing_from_across_a_slot(void **state)
{
    (void)state;
    sf_point outer[4], slot[4];
    sf_ring rings[2] = {rectangle_ring(outer, 0, 0, 60, 40),
                        rectangle_ring(slot, 29.9, -1, 30.1, 41)};
    grid *laid = lay(rings, 2, 60, 40, 2.5);
    unsigned long seed = 5;
    for (int i = 0; i < 2000; i++) {
        double x = 26 + 8 * next_uniform(&seed), y = 40 * next_uniform(&seed);
        grid_sample sample = grid_sample_at(laid, x, y);
        assert_true(sample.count > 0);
        for (size_t k = 0; k < sample.count; k++)
            assert_int_equal(cell_x_mm(laid, laid->cell_of_node[sample.nodes[k]]) > 30, x > 30);
    }
    grid_free(laid);
}

static void place_off_the_board_is_the_nearest_board(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(50, 35, 2.5);
    grid_sample right = grid_sample_at(laid, 52, 13.75), corner = grid_sample_at(laid, -3, 39);
    assert_int_equal(right.count, 1);
    assert_int_equal(right.nodes[0], grid_nearest_node(laid, 48.75, 13.75));
    assert_int_equal(corner.nodes[0], grid_nearest_node(laid, 1.25, 33.75));
    grid_free(laid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(board_with_cut_outs_has_only_the_cells_whose_centre_is_board),
        cmocka_unit_test(l_shape_has_the_area_of_its_ring),
        cmocka_unit_test(slanted_outline_has_its_area_within_a_cell_along_the_edge),
        cmocka_unit_test(every_inner_neighbour_pair_is_linked_once),
        cmocka_unit_test(cell_is_two_to_two_and_a_half_mm_where_none_is_asked),
        cmocka_unit_test(cells_grow_where_the_board_would_have_too_many),
        cmocka_unit_test(small_board_gets_finer_cells),
        cmocka_unit_test(outline_that_leaves_no_cell_is_refused),
        cmocka_unit_test(slot_narrower_than_a_cell_insulates),
        cmocka_unit_test(slot_that_misses_every_centre_line_still_insulates),
        cmocka_unit_test(short_slot_lets_heat_round_its_ends),
        cmocka_unit_test(island_cut_off_from_the_rest_stays_cold),
        cmocka_unit_test(sample_weights_sum_to_one_everywhere),
        cmocka_unit_test(sample_meets_a_plane_between_cells),
        cmocka_unit_test(sample_takes_nothing_from_across_a_slot),
        cmocka_unit_test(place_off_the_board_is_the_nearest_board),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
