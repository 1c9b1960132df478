/* The picture as a whole, decoded again from its bytes. */
#include "support/check.h"

#include <gd.h>
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "colour_difference.h"
#include "draw/inks.h"
#include "draw/layout.h"
#include "draw/scale.h"
#include "invented.h"

/* A picture drawn and decoded. */
typedef struct drawn {
    gdImagePtr image;
    sf_picture_frame frame;
} drawn;

static drawn draw_at(const sf_scene *scene, int width_px)
{
    sf_picture_options options = sf_picture_options_default();
    options.width_px = width_px;
    unsigned char *png = NULL;
    size_t size = 0;
    drawn made;
    assert_int_equal(sf_scene_draw(scene, &options, &png, &size, &made.frame), SF_OK);
    made.image = gdImageCreateFromPngPtr((int)size, png);
    assert_non_null(made.image);
    free(png);
    return made;
}

static sf_colour colour_at_px(const drawn *in, int x, int y)
{
    int index = gdImageGetPixel(in->image, x, y);
    return (sf_colour){(unsigned char)gdImageRed(in->image, index),
                       (unsigned char)gdImageGreen(in->image, index),
                       (unsigned char)gdImageBlue(in->image, index)};
}

static sf_colour colour_at_mm(const drawn *in, double x_mm, double y_mm)
{
    return colour_at_px(in, (int)floor(in->frame.left_px + x_mm * in->frame.px_per_mm),
                        (int)floor(in->frame.bottom_px - y_mm * in->frame.px_per_mm));
}

static double difference(sf_colour one, sf_colour other)
{
    return colour_difference(colour_to_lab(one), colour_to_lab(other));
}

/* an L without anything on it */
static void make_bare(invented *made)
{
    invention wanted = invention_usual();
    wanted.parts = wanted.readings = 0;
    wanted.keepout = false;
    invented_make(&wanted, made);
    made->scene.source_count = 0;
    made->scene.zones = NULL;
}

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

/* Three large parts in a row, as the scene marks them, and in *bare the board without them. */
static drawn draw_three_parts(invented *board, drawn *bare)
{
    sf_part parts[3] = {{.ref = "C1", .x_mm = 30, .y_mm = 30, .diameter_mm = 16},
                        {.ref = "C2", .x_mm = 60, .y_mm = 30, .diameter_mm = 16},
                        {.ref = "C3", .x_mm = 120, .y_mm = 30, .diameter_mm = 16}};
    sf_part *none = board->job.parts;
    board->job.parts = parts;
    board->job.part_count = 3;
    drawn made = draw_at(&board->scene, 1600);
    board->job.part_count = 0;
    *bare = draw_at(&board->scene, 1600);
    board->job.parts = none;
    return made;
}

static void verdicts_differ_in_shape_and_fill(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    sf_part_result results[3] = {
        {.verdict = SF_REPLACE}, {.verdict = SF_CHECK}, {.verdict = SF_LEAVE}};
    board.scene.results = results;
    drawn bare, made = draw_three_parts(&board, &bare);
    sf_colour white = {255, 255, 255}, dark = ink_colour(INK_DARK), alert = ink_colour(INK_ALERT);
    sf_colour cross = colour_at_mm(&made, 30, 30), filled = colour_at_mm(&made, 30 + 5.5, 30);
    assert_memory_equal(&cross, &white, sizeof white);
    assert_memory_equal(&filled, &alert, sizeof alert);
    sf_colour upper = colour_at_mm(&made, 60, 33), lower = colour_at_mm(&made, 60, 27);
    assert_memory_equal(&upper, &white, sizeof white);
    assert_memory_equal(&lower, &dark, sizeof dark);
    /* an open ring: the field shows in it, between white halo and dark line */
    assert_true(difference(colour_at_mm(&made, 120, 34.5), colour_at_mm(&bare, 120, 34.5)) < 3);
    sf_colour ring = colour_at_mm(&made, 120, 38);
    assert_true(difference(ring, dark) < 15);
    gdImageDestroy(made.image);
    gdImageDestroy(bare.image);
    invented_free(&board);
}

static void parts_that_changed_differ_in_shape_and_fill(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    const sf_change changes[3] = {SF_CHANGE_HOTTER, SF_CHANGE_COOLER, SF_CHANGE_DOUBTFUL};
    board.scene.results = NULL;
    board.scene.changes = changes;
    drawn bare, made = draw_three_parts(&board, &bare);
    sf_colour white = {255, 255, 255}, dark = ink_colour(INK_DARK);
    /* a triangle 0.72 of the radius high above its middle: its tip is narrow where it points to */
    static const struct {
        double x_mm, y_mm;
        bool dark;
    } spots[] = {{30, 34, false}, {34, 34, true},  {30, 28.5, false}, {33.5, 28.5, false},
                 {60, 26, true},  {64, 26, false}, {60, 31.5, true},  {63.5, 31.5, true}};
    for (size_t i = 0; i < sizeof spots / sizeof spots[0]; i++) {
        sf_colour there = colour_at_mm(&made, spots[i].x_mm, spots[i].y_mm);
        assert_memory_equal(&there, spots[i].dark ? &dark : &white, sizeof there);
    }
    assert_true(difference(colour_at_mm(&made, 120, 34.5), colour_at_mm(&bare, 120, 34.5)) < 3);
    gdImageDestroy(made.image);
    gdImageDestroy(bare.image);
    invented_free(&board);
}

static void a_part_is_drawn_at_its_true_diameter_but_never_invisibly_small(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    sf_part parts[2] = {{.ref = "C1", .x_mm = 40, .y_mm = 30, .diameter_mm = 24},
                        {.ref = "C2", .x_mm = 120, .y_mm = 30, .diameter_mm = 0.1}};
    sf_part_result results[2] = {{.verdict = SF_REPLACE}, {.verdict = SF_REPLACE}};
    sf_part *none = board.job.parts;
    board.job.parts = parts;
    board.job.part_count = 2;
    board.scene.results = results;
    drawn made = draw_at(&board.scene, 1600);
    sf_colour alert = ink_colour(INK_ALERT);
    assert_true(difference(colour_at_mm(&made, 40 - 11.7, 30), alert) < 1);
    assert_true(difference(colour_at_mm(&made, 40 - 12.2, 30), alert) > 30);
    assert_true(difference(colour_at_mm(&made, 120 - 1.2, 30), alert) < 1);
    gdImageDestroy(made.image);
    board.job.part_count = 0;
    board.job.parts = none;
    invented_free(&board);
}

static void a_place_to_read_next_is_a_white_disc_in_a_dark_ring_with_its_number(void **state)
{
    (void)state;
    invented board;
    make_bare(&board);
    sf_point next[2] = {{44, 31}, {120, 31}};
    board.scene.points = next;
    board.scene.point_count = 2;
    drawn made = draw_at(&board.scene, 1600);
    sf_colour white = {255, 255, 255}, dark = ink_colour(INK_DARK);
    double em_px = layout_em(1600);
    int inked[2] = {0};
    for (int which = 0; which < 2; which++) {
        int x = (int)(made.frame.left_px + next[which].x_mm * made.frame.px_per_mm);
        int y = (int)(made.frame.bottom_px - next[which].y_mm * made.frame.px_per_mm);
        assert_true(difference(colour_at_px(&made, x, y - (int)(0.55 * em_px)), white) < 1);
        assert_true(difference(colour_at_px(&made, x, y - (int)(0.72 * em_px)), dark) < 5);
        int reach = (int)(0.5 * em_px);
        for (int dy = -reach; dy <= reach; dy++)
            for (int dx = -reach; dx <= reach; dx++)
                inked[which] += difference(colour_at_px(&made, x + dx, y + dy), dark) < 20;
    }
    /* a 2 takes more ink than a 1, by eye */
    assert_true(inked[0] > 10 && inked[1] > inked[0]);
    gdImageDestroy(made.image);
    invented_free(&board);
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

static void parts_without_a_verdict_are_drawn_as_rings(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    board.scene.results = NULL;
    drawn made = draw_at(&board.scene, 800);
    sf_colour alert = ink_colour(INK_ALERT);
    for (int y = 0; y < gdImageSY(made.image); y++)
        for (int x = 0; x < gdImageSX(made.image); x++) {
            sf_colour seen = colour_at_px(&made, x, y);
            assert_true(memcmp(&seen, &alert, sizeof alert) != 0);
        }
    gdImageDestroy(made.image);
    invented_free(&board);
}

static void a_hundred_thousand_parts_and_readings_are_drawn(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    wanted.parts = 100000;
    wanted.readings = 100000;
    wanted.sources = 60;
    invented board;
    invented_make(&wanted, &board);
    drawn made = draw_at(&board.scene, 1600);
    assert_int_equal(gdImageSX(made.image), 1600);
    gdImageDestroy(made.image);
    invented_free(&board);
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
        cmocka_unit_test(verdicts_differ_in_shape_and_fill),
        cmocka_unit_test(parts_that_changed_differ_in_shape_and_fill),
        cmocka_unit_test(a_part_is_drawn_at_its_true_diameter_but_never_invisibly_small),
        cmocka_unit_test(a_place_to_read_next_is_a_white_disc_in_a_dark_ring_with_its_number),
        cmocka_unit_test(the_resolution_is_written_into_the_file),
        cmocka_unit_test(the_same_scene_gives_the_same_bytes),
        cmocka_unit_test(two_pictures_may_be_drawn_at_once),
        cmocka_unit_test(options_out_of_range_are_refused),
        cmocka_unit_test(scenes_out_of_range_are_refused),
        cmocka_unit_test(a_field_without_a_finite_value_is_an_error_of_its_own),
        cmocka_unit_test(a_field_without_relief_is_drawn_in_one_colour),
        cmocka_unit_test(boards_of_every_shape_are_drawn),
        cmocka_unit_test(parts_without_a_verdict_are_drawn_as_rings),
        cmocka_unit_test(a_hundred_thousand_parts_and_readings_are_drawn),
    };
    return cmocka_run_group_tests_name("draw: picture", tests, NULL, NULL);
}
