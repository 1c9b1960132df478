/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Shapes in the plane of coverage. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "output/draw/mask.h"

static const double pi = 3.14159265358979;

static mask plane_of(int width_px, int height_px)
{
    mask made;
    assert_true(mask_new(&made, width_px, height_px));
    return made;
}

/* pixels covered in sum */
static double area_of(const mask *in)
{
    double sum = 0;
    for (int i = 0; i < in->width_px * in->height_px; i++)
        sum += in->cover[i] / 255.0;
    return sum;
}

static void a_slanting_polygon_covers_its_area(void **state)
{
    (void)state;
    mask plane = plane_of(230, 170);
    place corners[] = {{12.3, 20.7}, {201.9, 9.1}, {178.4, 150.6}, {55.2, 161.3}};
    mask_polygon(&plane, corners, 4, MASK_ADD);
    /* shoelace formula; each pixel is rounded to 1/255 */
    assert_close(area_of(&plane), 22168.375, 1e-4, 0);
    mask_free(&plane);
}

static void an_upright_edge_covers_its_exact_share_of_a_pixel(void **state)
{
    (void)state;
    mask plane = plane_of(40, 30);
    place corners[] = {{10.25, 5}, {20.6, 5}, {20.6, 25}, {10.25, 25}};
    mask_polygon(&plane, corners, 4, MASK_ADD);
    const unsigned char *row = plane.cover + 12 * 40;
    assert_int_equal(row[9], 0);
    assert_close(row[10], 0.75 * 255, 0, 1);
    assert_int_equal(row[15], 255);
    assert_close(row[20], 0.6 * 255, 0, 1);
    assert_int_equal(row[21], 0);
    mask_free(&plane);
}

static void a_comb_of_very_many_teeth_is_filled_exactly(void **state)
{
    (void)state;
    enum { TEETH = 90 };
    mask plane = plane_of(400, 60);
    place corners[4 * TEETH + 1];
    for (int i = 0; i < TEETH; i++) {
        double left = 10 + 4 * i;
        corners[4 * i] = (place){left, 10};
        corners[4 * i + 1] = (place){left, 50};
        corners[4 * i + 2] = (place){left + 1.5, 50};
        corners[4 * i + 3] = (place){left + 1.5, 10};
    }
    corners[4 * TEETH] = (place){390, 10};
    mask_polygon(&plane, corners, 4 * TEETH + 1, MASK_ADD);
    /* a pixel that is half covered counts 128/255 */
    assert_close(area_of(&plane), TEETH * 1.5 * 40, 1.5e-3, 0);
    mask_free(&plane);
}

static void a_polygon_too_wild_to_fill_is_told(void **state)
{
    (void)state;
    enum { ZIGZAGS = 20000 };
    mask plane = plane_of(40, 400);
    place *corners = calloc(ZIGZAGS, sizeof *corners);
    assert_non_null(corners);
    for (int i = 0; i < ZIGZAGS; i++)
        corners[i] = (place){20 + i % 3, i % 2 == 0 ? 0 : 400};
    mask_polygon(&plane, corners, ZIGZAGS, MASK_ADD);
    assert_true(plane.failed);
    free(corners);
    mask_free(&plane);
}

static void an_erased_polygon_leaves_a_hole(void **state)
{
    (void)state;
    mask plane = plane_of(90, 90);
    place outer[] = {{5, 5}, {85, 5}, {85, 85}, {5, 85}};
    place hole[] = {{30.5, 20.25}, {60, 20.25}, {60, 70}, {30.5, 70}};
    mask_polygon(&plane, outer, 4, MASK_ADD);
    mask_polygon(&plane, hole, 4, MASK_ERASE);
    assert_close(area_of(&plane), 80 * 80 - 29.5 * 49.75, 1e-3, 0);
    assert_false(mask_covers(&plane, (place){45, 45}));
    assert_true(mask_covers(&plane, (place){20, 45}));
    mask_free(&plane);
}

static void a_polygon_that_crosses_itself_is_filled_by_the_even_odd_rule(void **state)
{
    (void)state;
    mask plane = plane_of(120, 120);
    place star[5];
    for (int i = 0; i < 5; i++)
        star[i] = (place){60 + 50 * sin(4 * pi * i / 5), 60 - 50 * cos(4 * pi * i / 5)};
    mask_polygon(&plane, star, 5, MASK_ADD);
    assert_false(mask_covers(&plane, (place){60, 60}));
    assert_true(mask_covers(&plane, (place){60, 20}));
    mask_free(&plane);
}

static void circles_cover_their_area(void **state)
{
    (void)state;
    static const double radii_px[] = {0.9, 4.3, 17.6, 43.2};
    for (int i = 0; i < 4; i++) {
        double radius_px = radii_px[i];
        mask disc = plane_of(100, 100), ring = plane_of(100, 100);
        mask_disc(&disc, (place){48.3, 51.7}, radius_px);
        mask_ring(&ring, (place){48.3, 51.7}, radius_px, 1.4);
        /* edges fade over a pixel, which is exact for straight ones only */
        assert_close(area_of(&disc), pi * radius_px * radius_px, 0.01, 0.25);
        assert_close(area_of(&ring), 2 * pi * radius_px * 1.4, 0.02, 0.3);
        mask_free(&disc);
        mask_free(&ring);
    }
}

static void a_stroke_covers_its_length_and_round_ends(void **state)
{
    (void)state;
    for (int i = 0; i < 12; i++) {
        double angle = pi * i / 12 + 0.1;
        mask plane = plane_of(140, 140);
        mask_line(&plane, (place){70, 70}, (place){70 + 55 * cos(angle), 70 + 55 * sin(angle)}, 5);
        assert_close(area_of(&plane), 55 * 5 + pi * 2.5 * 2.5, 0.01, 0);
        mask_free(&plane);
    }
}

static void shapes_beyond_the_plane_are_cut_off(void **state)
{
    (void)state;
    mask plane = plane_of(50, 40);
    place wide[] = {{-1e9, -300}, {1e9, -300}, {1e9, 20}, {-1e9, 20}};
    unsigned char whole[400];
    memset(whole, 255, sizeof whole);
    mask_line(&plane, (place){-500, 60}, (place){-400, 1e7}, 9);
    mask_disc(&plane, (place){1e12, -1e12}, 30);
    assert_close(area_of(&plane), 0, 0, 0);
    mask_polygon(&plane, wide, 4, MASK_ADD);
    assert_close(area_of(&plane), 50 * 20, 0, 0);
    mask_clear(&plane);
    mask_stamp(&plane, whole, 20, 20, -13, 31);
    assert_close(area_of(&plane), 7 * 9, 0, 0);
    mask_disc(&plane, (place){50, 0}, 400);
    assert_close(area_of(&plane), 50 * 40, 0, 0);
    mask_free(&plane);
}

static void clearing_frees_every_pixel(void **state)
{
    (void)state;
    mask plane = plane_of(333, 97);
    for (int i = 0; i < 60; i++)
        mask_line(&plane, (place){i * 7.3, 50 * sin(i)}, (place){300 - i * 5.1, i * 2.2}, 2);
    assert_true(area_of(&plane) > 100);
    mask_clear(&plane);
    assert_close(area_of(&plane), 0, 0, 0);
    mask_free(&plane);
}

static void the_share_of_a_box_sees_a_gap_in_its_middle(void **state)
{
    (void)state;
    mask plane = plane_of(200, 100);
    place whole[] = {{0, 0}, {200, 0}, {200, 100}, {0, 100}};
    place gap[] = {{95, 0}, {105, 0}, {105, 100}, {95, 100}};
    mask_polygon(&plane, whole, 4, MASK_ADD);
    assert_close(mask_share(&plane, (box){60, 30, 140, 60}), 1, 0, 0);
    mask_polygon(&plane, gap, 4, MASK_ERASE);
    assert_close(mask_share(&plane, (box){60, 30, 140, 60}), 1 - 10 / 80.0, 0, 0.07);
    assert_close(mask_share(&plane, (box){300, 30, 340, 60}), 0, 0, 0);
    mask_free(&plane);
}

static void hatching_keeps_inside_its_polygon_and_its_box(void **state)
{
    (void)state;
    mask hatched = plane_of(150, 150), allowed = plane_of(150, 150);
    place corners[] = {{20, 30}, {130, 20}, {90, 75}, {120, 140}, {30, 120}};
    stroke_hatch(&hatched, corners, 5, 1, 7, (box){0, 0, 150, 90});
    assert_true(area_of(&hatched) > 300);
    mask_polygon(&allowed, corners, 5, MASK_ADD);
    stroke_outline(&allowed, corners, 5, 3);
    for (int i = 0; i < 150 * 150; i++)
        if (hatched.cover[i] > 0) {
            assert_true(allowed.cover[i] > 0);
            assert_true(i / 150 < 92);
        }
    mask_free(&hatched);
    mask_free(&allowed);
}

static void dashes_cover_their_share_of_an_outline(void **state)
{
    (void)state;
    mask plane = plane_of(260, 260);
    place corners[] = {{20, 20}, {240, 20}, {240, 240}, {20, 240}};
    const double pattern_px[] = {14, 8};
    stroke_dashes(&plane, corners, 4, 2, pattern_px, 2);
    /* 40 dashes of 14 px on 880 px, each with two round ends of radius 1 */
    assert_close(area_of(&plane), 40 * (14 * 2 + pi), 0.03, 0);
    mask_free(&plane);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_slanting_polygon_covers_its_area),
        cmocka_unit_test(an_upright_edge_covers_its_exact_share_of_a_pixel),
        cmocka_unit_test(a_comb_of_very_many_teeth_is_filled_exactly),
        cmocka_unit_test(a_polygon_too_wild_to_fill_is_told),
        cmocka_unit_test(an_erased_polygon_leaves_a_hole),
        cmocka_unit_test(a_polygon_that_crosses_itself_is_filled_by_the_even_odd_rule),
        cmocka_unit_test(circles_cover_their_area),
        cmocka_unit_test(a_stroke_covers_its_length_and_round_ends),
        cmocka_unit_test(shapes_beyond_the_plane_are_cut_off),
        cmocka_unit_test(clearing_frees_every_pixel),
        cmocka_unit_test(the_share_of_a_box_sees_a_gap_in_its_middle),
        cmocka_unit_test(hatching_keeps_inside_its_polygon_and_its_box),
        cmocka_unit_test(dashes_cover_their_share_of_an_outline),
    };
    return cmocka_run_group_tests_name("draw: raster", tests, NULL, NULL);
}
