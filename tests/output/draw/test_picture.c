/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The picture as a whole, decoded again from its bytes: its field, its frame, its file. */
#include "drawn.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "output/draw/scale.h"

static double slope(double x_mm, double y_mm)
{
    return 33.7 + 0.241 * x_mm + 0.0613 * y_mm;
}

static void the_picture_is_a_palette_of_the_size_asked_for(void **state)
{
    (void)state;
    static const int widths_px[] = {400, 1111, 1600};
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    for (int i = 0; i < 3; i++) {
        drawn made = draw_at(&board.scene, widths_px[i]);
        assert_int_equal(gdImageSX(made.image), widths_px[i]);
        assert_int_equal(gdImageSX(made.image), made.frame.width_px);
        assert_int_equal(gdImageSY(made.image), made.frame.height_px);
        assert_false(gdImageTrueColor(made.image));
        assert_in_range(gdImageColorsTotal(made.image), 200, 256);
        gdImageDestroy(made.image);
    }
    invented_free(&board);
}

static void the_board_has_the_colour_of_its_values(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    invented_set_field(&board, slope);
    drawn made = draw_at(&board.scene, 1600);
    /* coldest and hottest cell: lower left, and right below the corner that is missing */
    value_scale scale = scale_make(slope(1.1, 1.1), slope(218.9, 97.9), "C");
    size_t seen = 0, off = 0;
    for (double x_mm = 3; x_mm < 217; x_mm += 9.7)
        for (double y_mm = 3; y_mm < 97; y_mm += 8.3) {
            double share = scale_share(&scale, slope(x_mm, y_mm));
            if (fabs(x_mm - 83) < 6)
                continue;
            seen++;
            off += difference(colour_at_mm(&made, x_mm, y_mm), sf_palette_colour(share)) > 2.5;
        }
    assert_true(seen > 200);
    /* some places meet an isotherm or its number */
    assert_true(off < seen / 12);
    gdImageDestroy(made.image);
    invented_free(&board);
}

static double tilt(double x_mm, double y_mm)
{
    (void)y_mm;
    return (x_mm - 110) / 11;
}

/* How many of the places about the middle height between two x have another colour than the
 * change there asks for. */
static double share_off(const drawn *made, const value_scale *scale, double from_mm, double to_mm)
{
    size_t seen = 0, off = 0;
    for (double x_mm = from_mm; x_mm < to_mm; x_mm += 0.37, seen++) {
        sf_colour wanted = sf_change_colour(scale_share(scale, tilt(x_mm, 0)));
        off += difference(colour_at_mm(made, x_mm, 31.3), wanted) > 3;
    }
    return (double)off / (double)seen;
}

static void changes_are_about_zero_and_hatched_where_doubtful(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    invented_set_field(&board, tilt);
    size_t cells = board.scene.grid.columns * board.scene.grid.rows;
    double *sds = malloc(cells * sizeof *sds);
    assert_non_null(sds);
    for (size_t i = 0; i < cells; i++)
        sds[i] = 2; /* doubtful where |x - 110| < 44 mm */
    board.scene.change_sds = sds;
    board.scene.unit = "K";
    drawn made = draw_at(&board.scene, 1600);
    value_scale scale = scale_make_change(tilt(1.1, 0), tilt(218.9, 0), "K");
    assert_close(scale.low + scale.high, 0, 0, 1e-9);
    value_scale cooler = scale_make_change(-7, 2, "K");
    assert_true(cooler.low <= -7 && cooler.high >= 7);
    assert_true(share_off(&made, &scale, 8, 62) < 0.1);
    assert_true(share_off(&made, &scale, 158, 210) < 0.1);
    assert_in_range(100 * share_off(&made, &scale, 87, 150), 15, 60);
    gdImageDestroy(made.image);
    free(sds);
    invented_free(&board);
}

static void outside_the_outline_and_in_the_slot_the_page_is_white(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    drawn made = draw_at(&board.scene, 1600);
    sf_colour white = {255, 255, 255};
    static const double outside_mm[][2] = {{170, 110}, {200, 130},  {160.5, 101.5}, {215, 155},
                                           {83, 60},   {82.5, 100}, {83.6, 50},     {110, 162}};
    static const double board_mm[][2] = {{150, 130}, {200, 90}, {70, 60}, {95, 60}, {83, 125}};
    for (size_t i = 0; i < 8; i++) {
        sf_colour seen = colour_at_mm(&made, outside_mm[i][0], outside_mm[i][1]);
        assert_memory_equal(&seen, &white, sizeof white);
    }
    for (size_t i = 0; i < 5; i++)
        assert_true(difference(colour_at_mm(&made, board_mm[i][0], board_mm[i][1]), white) > 20);
    gdImageDestroy(made.image);
    invented_free(&board);
}

static void the_frame_tells_where_the_board_is(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    drawn made = draw_at(&board.scene, 1600);
    sf_colour white = {255, 255, 255};
    /* a millimetre to either side of each edge, but for the line drawn on it */
    static const double pairs_mm[][4] = {{-0.7, 50, 0.7, 50},       {220.7, 50, 219.3, 50},
                                         {100, -0.7, 100, 0.7},     {100, 160.7, 100, 159.3},
                                         {159.1, 130, 157.7, 130},  {190, 99.9, 190, 98.5},
                                         {81.4 + 0.7, 60, 80.7, 60}};
    for (size_t i = 0; i < 7; i++) {
        sf_colour off = colour_at_mm(&made, pairs_mm[i][0], pairs_mm[i][1]);
        sf_colour on = colour_at_mm(&made, pairs_mm[i][2], pairs_mm[i][3]);
        assert_memory_equal(&off, &white, sizeof white);
        assert_true(difference(on, white) > 20);
    }
    gdImageDestroy(made.image);
    invented_free(&board);
}

static double faint_doubt(double x_mm, double y_mm)
{
    return 0.43 + 0.0071 * x_mm + 0.0013 * y_mm;
}

static void pictures_of_temperature_and_doubt_have_the_same_frame(void **state)
{
    (void)state;
    static const double boards_mm[][2] = {{220, 160}, {400, 20}};
    for (size_t i = 0; i < 2; i++) {
        invention wanted = invention_usual();
        wanted.width_mm = boards_mm[i][0];
        wanted.height_mm = boards_mm[i][1];
        invented board;
        invented_make(&wanted, &board);
        drawn warm = draw_at(&board.scene, 1000);
        invented_set_field(&board, faint_doubt);
        board.scene.unit = "K";
        board.scene.quantity = "Standard deviation";
        board.scene.zones = NULL;
        board.scene.observation_labels = NULL;
        drawn doubtful = draw_at(&board.scene, 1000);
        assert_int_equal(warm.frame.height_px, doubtful.frame.height_px);
        assert_close(warm.frame.left_px, doubtful.frame.left_px, 0, 0);
        assert_close(warm.frame.bottom_px, doubtful.frame.bottom_px, 0, 0);
        assert_close(warm.frame.px_per_mm, doubtful.frame.px_per_mm, 0, 0);
        gdImageDestroy(warm.image);
        gdImageDestroy(doubtful.image);
        invented_free(&board);
    }
}

static void the_resolution_is_written_into_the_file(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    sf_picture_options options = sf_picture_options_default();
    options.width_px = 500;
    options.dpi = 254;
    unsigned char *png = NULL;
    size_t size = 0;
    assert_int_equal(sf_scene_draw(&board.scene, &options, &png, &size, NULL), SF_OK);
    /* PNG (ISO/IEC 15948), chunk pHYs: pixels a metre, 4 bytes an axis, then the unit 1 */
    static const unsigned char chunk[] = {'p',  'H', 'Y', 's',  0,    0, 0x27,
                                          0x10, 0,   0,   0x27, 0x10, 1};
    bool found = false;
    for (size_t i = 0; i + sizeof chunk <= size; i++)
        found = found || memcmp(png + i, chunk, sizeof chunk) == 0;
    assert_true(found);
    free(png);
    invented_free(&board);
}

static void the_same_scene_gives_the_same_bytes(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    sf_picture_options options = sf_picture_options_default();
    unsigned char *png[2] = {NULL, NULL};
    size_t size[2] = {0, 1};
    for (int i = 0; i < 2; i++)
        assert_int_equal(sf_scene_draw(&board.scene, &options, &png[i], &size[i], NULL), SF_OK);
    assert_int_equal(size[0], size[1]);
    assert_memory_equal(png[0], png[1], size[0]);
    free(png[0]);
    free(png[1]);
    invented_free(&board);
}

/* One picture of a thread. */
typedef struct job {
    const sf_scene *scene;
    unsigned char *png;
    size_t size;
    sf_status status;
} job;

static void *draw_job(void *context)
{
    job *own = context;
    sf_picture_options options = sf_picture_options_default();
    options.width_px = 700;
    for (int i = 0; i < 5; i++) {
        free(own->png);
        own->status = sf_scene_draw(own->scene, &options, &own->png, &own->size, NULL);
    }
    return NULL;
}

static void two_pictures_may_be_drawn_at_once(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    job jobs[2] = {{.scene = &board.scene}, {.scene = &board.scene}};
    pthread_t threads[2];
    for (int i = 0; i < 2; i++)
        assert_int_equal(pthread_create(&threads[i], NULL, draw_job, &jobs[i]), 0);
    for (int i = 0; i < 2; i++)
        assert_int_equal(pthread_join(threads[i], NULL), 0);
    for (int i = 0; i < 2; i++)
        assert_int_equal(jobs[i].status, SF_OK);
    assert_int_equal(jobs[0].size, jobs[1].size);
    assert_memory_equal(jobs[0].png, jobs[1].png, jobs[0].size);
    free(jobs[0].png);
    free(jobs[1].png);
    invented_free(&board);
}

static double level_ground(double x_mm, double y_mm)
{
    (void)x_mm;
    (void)y_mm;
    return 47.3;
}

static void a_field_without_relief_is_drawn_in_one_colour(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    invented_set_field(&board, level_ground);
    drawn made = draw_at(&board.scene, 800);
    sf_colour here = colour_at_mm(&made, 20, 20), there = colour_at_mm(&made, 140, 140);
    assert_memory_equal(&here, &there, sizeof here);
    gdImageDestroy(made.image);
    invented_free(&board);
}

static void boards_of_every_shape_are_drawn(void **state)
{
    (void)state;
    static const double boards_mm[][2] = {{400, 20}, {20, 400}, {10, 10}, {600, 500}, {2000, 1}};
    for (size_t i = 0; i < sizeof boards_mm / sizeof boards_mm[0]; i++) {
        invention wanted = {boards_mm[i][0], boards_mm[i][1], 12, 6, 2, i % 2 == 1, true, 5};
        invented board;
        invented_make(&wanted, &board);
        drawn made = draw_at(&board.scene, 640);
        assert_int_equal(gdImageSX(made.image), 640);
        gdImageDestroy(made.image);
        invented_free(&board);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_picture_is_a_palette_of_the_size_asked_for),
        cmocka_unit_test(the_board_has_the_colour_of_its_values),
        cmocka_unit_test(changes_are_about_zero_and_hatched_where_doubtful),
        cmocka_unit_test(outside_the_outline_and_in_the_slot_the_page_is_white),
        cmocka_unit_test(the_frame_tells_where_the_board_is),
        cmocka_unit_test(pictures_of_temperature_and_doubt_have_the_same_frame),
        cmocka_unit_test(the_resolution_is_written_into_the_file),
        cmocka_unit_test(the_same_scene_gives_the_same_bytes),
        cmocka_unit_test(two_pictures_may_be_drawn_at_once),
        cmocka_unit_test(a_field_without_relief_is_drawn_in_one_colour),
        cmocka_unit_test(boards_of_every_shape_are_drawn),
    };
    return cmocka_run_group_tests_name("draw: picture", tests, NULL, NULL);
}
