/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit works on: doubt of places, readings thinned out, pixels put to cells. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>

#include "field/bench.h"
#include "field/pixel_cells.h"

enum { SPOTS = 3, PIXELS = 5 };

/* A board of 60 x 40 mm with readings and, in other cells, pixels. */
typedef struct seen_board {
    sf_observation seen[SPOTS];
    double x_mm[PIXELS], y_mm[PIXELS], rise_k[PIXELS];
    sf_pixels pixels;
    bench on;
} seen_board;

static void set_seen(seen_board *set)
{
    *set = (seen_board){.x_mm = {8.1, 23.9, 31.3, 47.2, 55.8},
                        .y_mm = {31.2, 8.3, 33.1, 22.7, 6.4},
                        .rise_k = {13, 31, 22, 17, 28}};
    set->seen[0] = plain_observation("a", 11.3, 12.9, 21, 0.7);
    set->seen[1] = plain_observation("b", 38.2, 14.4, 34, 0.9);
    set->seen[2] = plain_observation("c", 51.6, 33.3, 26, 0.5);
    set->pixels = (sf_pixels){.count = PIXELS,
                              .x_mm = set->x_mm,
                              .y_mm = set->y_mm,
                              .rise_k = set->rise_k,
                              .pixel_sd_k = 0.2,
                              .pixel_mm = 1.2,
                              .marks_rms_mm = 0.4};
    bench_set(&set->on, 60, 40, 2.5, NULL, 0, set->seen, SPOTS);
    set->on.input.pixels = &set->pixels;
    fit_data_clear(&set->on.data);
    assert_int_equal(fit_data_gather(&set->on.input, set->on.laid, &set->on.data), SF_OK);
    assert_int_equal(set->on.data.readings, SPOTS + PIXELS);
}

/* Law of propagation, JCGM 100:2008, 5.1.2: the slope times what the place is off. Pixels are
 * placed by the marks, but no better than to half of one. */
static void a_steep_field_makes_readings_less_sure_by_how_well_each_is_placed(void **state)
{
    (void)state;
    seen_board set;
    set_seen(&set);
    grid *laid = set.on.laid;
    peaked_field plane;
    assert_true(peaked_field_new(&set.on.data, &plane));
    for (size_t node = 0; node < laid->nodes; node++)
        plane.rise_k[node] = 9 + 0.6 * cell_x_mm(laid, laid->cell_of_node[node]) -
                             0.11 * cell_y_mm(laid, laid->cell_of_node[node]);
    for (int better = 0; better < 2; better++) {
        double ruler_mm = 1.7, pixel_mm = better ? 0.6 : 0.83;
        set.pixels.marks_rms_mm = better ? 0.4 : 0.83;
        fit_data_take_field(&set.on.data, &plane, ruler_mm);
        for (size_t i = 0; i < SPOTS + PIXELS; i++)
            assert_close(set.on.data.position_k2[i],
                         pow(hypot(0.6, 0.11) * (i < SPOTS ? ruler_mm : pixel_mm), 2), 1e-9, 0);
    }
    peaked_field_clear(&plane);
    bench_clear(&set.on);
}

static void thinned_readings_keep_their_order_and_kind(void **state)
{
    (void)state;
    seen_board set;
    set_seen(&set);
    for (size_t most = 1; most < 12; most++) {
        fit_data few;
        size_t spots = 0, next = 0;
        assert_int_equal(fit_data_thin(&set.on.data, most, &few), SF_OK);
        assert_int_equal(few.readings, most < SPOTS + PIXELS ? most : SPOTS + PIXELS);
        for (size_t i = 0; i < few.readings; i++) {
            while (set.on.data.points[next].x_mm != few.points[i].x_mm)
                next++;
            assert_close(few.rise_k[i], set.on.data.rise_k[next], 0, 0);
            assert_close(few.variance_k2[i], set.on.data.variance_k2[next], 0, 0);
            spots += next < SPOTS;
        }
        assert_int_equal(few.spots, spots);
        fit_data_clear(&few);
    }
    bench_clear(&set.on);
}

/* What is bilinear, a plane, is told alike by cells of any width. */
static void wider_cells_see_the_same_readings_at_the_same_places(void **state)
{
    (void)state;
    seen_board set;
    fit_data wider;
    grid *laid;
    set_seen(&set);
    laid = rectangle_grid(60, 40, 5);
    assert_int_equal(fit_data_on(&set.on.data, laid, &wider), SF_OK);
    double *plane = calloc(laid->nodes, sizeof *plane);
    assert_non_null(plane);
    for (size_t node = 0; node < laid->nodes; node++) {
        plane[node] = 3 * cell_x_mm(laid, laid->cell_of_node[node]) -
                      2 * cell_y_mm(laid, laid->cell_of_node[node]);
        assert_close(wider.loss[node], 1, 0, 0);
        assert_close(wider.rise_guess_k[node], set.on.data.rise_guess_k[0], 0, 0);
    }
    assert_int_equal(wider.spots, SPOTS);
    assert_int_equal(wider.readings, SPOTS + PIXELS);
    for (size_t i = 0; i < wider.readings; i++) {
        assert_close(wider.rise_k[i], set.on.data.rise_k[i], 0, 0);
        assert_close(wider.variance_k2[i], set.on.data.variance_k2[i], 0, 0);
        assert_close(sample_value(&wider.samples[i], plane),
                     3 * set.on.data.points[i].x_mm - 2 * set.on.data.points[i].y_mm, 1e-9, 0);
    }
    assert_close(wider.background_k, set.on.data.background_k, 0, 0);
    assert_close(wider.strength_k_mm2, set.on.data.strength_k_mm2, 0, 0);
    free(plane);
    fit_data_clear(&wider);
    grid_free(laid);
    bench_clear(&set.on);
}

static void pixels_beside_the_board_are_dropped_and_those_on_it_kept(void **state)
{
    (void)state;
    /* an L: the upper right quarter of 30 x 20 mm is missing */
    sf_point corners[] = {{0, 0}, {30, 0}, {30, 10}, {15, 10}, {15, 20}, {0, 20}};
    sf_ring edge = ring_of(corners, 6);
    grid *laid;
    assert_int_equal(grid_lay(&edge, 1, 30, 20, 2.5, 10000, &laid), SF_OK);
    double x_mm[] = {26.1, 6.2, 21.3, 3.9, 28.7}, y_mm[] = {3.8, 17.4, 13.6, 2.2, 18.9};
    double rise_k[] = {11, 13, 17, 19, 23};
    sf_pixels pixels = {.count = 5, .x_mm = x_mm, .y_mm = y_mm, .rise_k = rise_k};
    pixel_cell *cells;
    size_t count;
    assert_int_equal(pixel_cells_make(&pixels, laid, &cells, &count), SF_OK);
    assert_int_equal(count, 3);
    /* in order of the cells, from the lower left */
    assert_close(cells[0].rise_k, 19, 0, 0);
    assert_close(cells[1].rise_k, 11, 0, 0);
    assert_close(cells[2].rise_k, 13, 0, 0);
    free(cells);
    grid_free(laid);
}

/* Two beads on a board that is 20 K warm everywhere lose alike, whatever their own errors made of
 * the readings; what an instrument is off by does not grow with the rise. */
static void a_common_share_of_the_rise_is_not_one_of_the_reading(void **state)
{
    (void)state;
    seen_board set;
    peaked_field even;
    set_seen(&set);
    fit_data *data = &set.on.data;
    assert_true(peaked_field_new(data, &even));
    for (size_t node = 0; node < set.on.laid->nodes; node++)
        even.rise_k[node] = 20;
    for (size_t i = 0; i < SPOTS; i++) {
        data->common_k[i * SF_COMMON_COUNT + SF_COMMON_BEAD] = 0.05 * data->rise_k[i];
        data->common_k[i * SF_COMMON_COUNT + SF_METHOD_THERMOCOUPLE_K] = 0.7;
    }
    for (int again = 0; again < 2; again++) {
        fit_data_take_field(data, &even, 1);
        for (size_t i = 0; i < SPOTS; i++) {
            const double *common_k = data->common_k + i * SF_COMMON_COUNT;
            assert_close(common_k[SF_COMMON_BEAD], 0.05 * 20, 1e-9, 0);
            assert_close(common_k[SF_METHOD_THERMOCOUPLE_K], 0.7, 0, 0);
        }
    }
    peaked_field_clear(&even);
    bench_clear(&set.on);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_steep_field_makes_readings_less_sure_by_how_well_each_is_placed),
        cmocka_unit_test(a_common_share_of_the_rise_is_not_one_of_the_reading),
        cmocka_unit_test(thinned_readings_keep_their_order_and_kind),
        cmocka_unit_test(wider_cells_see_the_same_readings_at_the_same_places),
        cmocka_unit_test(pixels_beside_the_board_are_dropped_and_those_on_it_kept),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
