/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Options and scenes that no picture can be made of. */
#include "drawn.h"

#include <math.h>

static void assert_refused(const sf_scene *scene, const sf_picture_options *options)
{
    unsigned char *png = (unsigned char *)"not touched";
    size_t size = 0;
    assert_int_equal(sf_scene_draw(scene, options, &png, &size, NULL), SF_ERROR_ARGUMENT);
    assert_null(png);
}

static void options_out_of_range_are_refused(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    static const sf_picture_options bad[] = {{399, 300, NULL, 6},   {8001, 300, NULL, 6},
                                             {-5, 300, NULL, 6},    {1600, 49, NULL, 6},
                                             {1600, 1201, NULL, 6}, {1600, 300, NULL, 0},
                                             {1600, 300, NULL, 10}, {1600, 300, "/none.ttf", 6}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_refused(&board.scene, &bad[i]);
    sf_picture_options good = sf_picture_options_default();
    assert_refused(&board.scene, NULL);
    assert_refused(NULL, &good);
    size_t size;
    unsigned char *png;
    assert_int_equal(sf_scene_draw(&board.scene, &good, NULL, &size, NULL), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_scene_draw(&board.scene, &good, &png, NULL, NULL), SF_ERROR_ARGUMENT);
    invented_free(&board);
}

static void scenes_out_of_range_are_refused(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    sf_picture_options good = sf_picture_options_default();
    sf_scene kept = board.scene, bad;
    bad = kept, bad.job = NULL, assert_refused(&bad, &good);
    bad = kept, bad.values = NULL, assert_refused(&bad, &good);
    bad = kept, bad.grid.columns = 0, assert_refused(&bad, &good);
    bad = kept, bad.grid.cell_mm = NAN, assert_refused(&bad, &good);
    bad = kept, bad.grid.columns = SIZE_MAX / 3, assert_refused(&bad, &good);
    bad = kept, bad.unit = NULL, assert_refused(&bad, &good);
    bad = kept, bad.title_line_count = 5, assert_refused(&bad, &good);
    double x_mm = board.job.parts[7].x_mm, width_mm = board.job.board.width_mm;
    board.job.parts[7].x_mm = NAN, assert_refused(&kept, &good);
    board.job.parts[7].x_mm = 1e7, assert_refused(&kept, &good);
    board.job.parts[7].x_mm = x_mm;
    board.job.board.width_mm = 2000.5, assert_refused(&kept, &good);
    board.job.board.width_mm = width_mm;
    board.observations[3].y_mm = INFINITY, assert_refused(&kept, &good);
    board.observations[3].y_mm = 50;
    board.sources[2].width_mm = 0, assert_refused(&kept, &good);
    board.sources[2].width_mm = 12;
    sf_point next[2] = {{31, 17}, {NAN, 17}};
    bad = kept, bad.points = next, bad.point_count = 2, assert_refused(&bad, &good);
    next[1].x_mm = 1e7, assert_refused(&bad, &good);
    bad.point_count = 1000, assert_refused(&bad, &good);
    board.job.rings[1].points[0].x_mm = NAN, assert_refused(&kept, &good);
    invented_free(&board);
}

static void a_field_without_a_finite_value_is_an_error_of_its_own(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    for (size_t i = 0; i < board.scene.grid.columns * board.scene.grid.rows; i++)
        board.values[i] = NAN;
    sf_picture_options options = sf_picture_options_default();
    unsigned char *png = NULL;
    size_t size = 0;
    assert_int_equal(sf_scene_draw(&board.scene, &options, &png, &size, NULL), SF_ERROR_NUMERIC);
    assert_null(png);
    invented_free(&board);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(options_out_of_range_are_refused),
        cmocka_unit_test(scenes_out_of_range_are_refused),
        cmocka_unit_test(a_field_without_a_finite_value_is_an_error_of_its_own),
    };
    return cmocka_run_group_tests_name("draw: pictures refused", tests, NULL, NULL);
}
