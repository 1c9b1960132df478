/* Shapes in the plane of coverage, ink on the page, letters. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw/canvas.h"
#include "draw/font.h"
#include "draw/mask.h"
#include "draw/strokes.h"
#include "draw/words.h"

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

static canvas *page_of(int width_px, int height_px)
{
    canvas *page = malloc(sizeof *page);
    assert_non_null(page);
    assert_int_equal(canvas_open(page, width_px, height_px, sf_palette_colour), SF_OK);
    return page;
}

static void close_page(canvas *page)
{
    canvas_close(page);
    free(page);
}

static sf_colour colour_at(const canvas *page, int x, int y)
{
    return page->inks.colours[page->image->pixels[y][x]];
}

static void ink_is_laid_where_shapes_are_and_they_are_used_up(void **state)
{
    (void)state;
    canvas *page = page_of(120, 80);
    mask_disc(&page->shapes, (place){60, 40}, 20);
    canvas_lay(page, INK_ALERT, 1);
    sf_colour middle = colour_at(page, 60, 40), corner = colour_at(page, 3, 3);
    sf_colour alert = ink_colour(INK_ALERT), paper = ink_colour(INK_PAPER);
    assert_memory_equal(&middle, &alert, sizeof alert);
    assert_memory_equal(&corner, &paper, sizeof paper);
    assert_close(area_of(&page->shapes), 0, 0, 0);
    close_page(page);
}

static void ink_keeps_inside_the_clip_and_the_board(void **state)
{
    (void)state;
    canvas *page = page_of(120, 80);
    box half = {0, 0, 60, 80};
    place all[] = {{0, 0}, {120, 0}, {120, 80}, {0, 80}},
          board[] = {{0, 0}, {120, 0}, {120, 30}, {0, 30}};
    canvas_clip(page, &half);
    mask_polygon(&page->shapes, all, 4, MASK_ADD);
    canvas_lay(page, INK_DARK, 1);
    canvas_clip(page, NULL);
    mask_polygon(&page->board, board, 4, MASK_ADD);
    mask_polygon(&page->shapes, all, 4, MASK_ADD);
    canvas_lay_on_board(page, INK_ALERT, 1);
    assert_int_equal(colour_at(page, 30, 60).red, ink_colour(INK_DARK).red);
    assert_int_equal(colour_at(page, 90, 60).red, 255);
    assert_int_equal(colour_at(page, 90, 10).red, ink_colour(INK_ALERT).red);
    assert_int_equal(colour_at(page, 30, 10).red, ink_colour(INK_ALERT).red);
    close_page(page);
}

static font *plain_font(void)
{
    font *face = NULL;
    assert_int_equal(font_open(NULL, &face), SF_OK);
    return face;
}

/* pixels that are not paper, columns left..right-1 */
static int inked(const canvas *page, int left, int right)
{
    int count = 0;
    for (int y = 0; y < page->image->sy; y++)
        for (int x = left; x < right; x++)
            count += page->image->pixels[y][x] != 0;
    return count;
}

static void words_cover_the_width_they_measure(void **state)
{
    (void)state;
    font *faces[2] = {plain_font(), NULL};
    assert_int_equal(font_open_bitmap(&faces[1]), SF_OK);
    for (int i = 0; i < 2; i++) {
        canvas *page = page_of(400, 60);
        lettering style = {.size_px = 24, .laid = INK_DARK};
        int width = (int)ceil(words_width(faces[i], &style, "Hot 78 \u00b0C"));
        assert_in_range(width, 90, 170);
        words_draw(page, faces[i], &style, (place){50, 40}, 0, "Hot 78 \u00b0C");
        assert_true(inked(page, 50, 50 + width) > 300);
        assert_int_equal(inked(page, 0, 48), 0);
        assert_int_equal(inked(page, 52 + width, 400), 0);
        close_page(page);
        font_close(faces[i]);
    }
}

static void the_bitmap_letters_have_a_degree_sign(void **state)
{
    (void)state;
    font *face = NULL;
    assert_int_equal(font_open_bitmap(&face), SF_OK);
    canvas *pages[2] = {page_of(80, 60), page_of(80, 60)};
    lettering style = {.size_px = 26, .laid = INK_DARK};
    words_draw(pages[0], face, &style, (place){20, 40}, 0, "\u00b0");
    words_draw(pages[1], face, &style, (place){20, 40}, 0, "?");
    assert_true(inked(pages[0], 0, 80) > 10);
    /* a small ring in the upper half, no question mark */
    for (int x = 0; x < 80; x++)
        for (int y = 32; y < 60; y++)
            assert_int_equal(pages[0]->image->pixels[y][x], 0);
    assert_int_not_equal(inked(pages[0], 0, 80), inked(pages[1], 0, 80));
    close_page(pages[0]);
    close_page(pages[1]);
    font_close(face);
}

static void turned_words_run_the_way_they_are_turned(void **state)
{
    (void)state;
    font *face = plain_font();
    canvas *page = page_of(200, 200);
    lettering style = {.size_px = 20, .laid = INK_DARK};
    words_draw(page, face, &style, (place){100, 100}, 90, "100100");
    /* straight up from the middle: nothing below it, nothing right of it */
    for (int y = 0; y < 200; y++)
        for (int x = 0; x < 200; x++)
            if (page->image->pixels[y][x] != 0) {
                assert_in_range(x, 82, 101);
                assert_in_range(y, 15, 101);
            }
    assert_true(inked(page, 0, 200) > 200);
    close_page(page);
    font_close(face);
}

static void a_halo_reaches_beyond_its_letters(void **state)
{
    (void)state;
    font *face = plain_font();
    canvas *pages[2] = {page_of(90, 60), page_of(90, 60)};
    lettering plain = {.size_px = 24, .laid = INK_ALERT};
    lettering haloed = {.size_px = 24, .laid = INK_ALERT, .halo_px = 3, .halo = INK_DARK};
    words_draw(pages[0], face, &plain, (place){20, 40}, 0, "C8");
    words_draw(pages[1], face, &haloed, (place){20, 40}, 0, "C8");
    for (int y = 0; y < 60; y++)
        for (int x = 0; x < 90; x++)
            if (pages[0]->image->pixels[y][x] != 0)
                assert_int_not_equal(pages[1]->image->pixels[y][x], 0);
    assert_true(inked(pages[1], 0, 90) > 1.5 * inked(pages[0], 0, 90));
    close_page(pages[0]);
    close_page(pages[1]);
    font_close(face);
}

static void broken_text_reads_as_question_marks(void **state)
{
    (void)state;
    font *face = plain_font();
    lettering style = {.size_px = 17};
    double mark_px = words_width(face, &style, "?");
    static const char *const broken[] = {"\xff",         "\x80", "\xc3", "\xe2\x82",
                                         "\xf0\x9f\x98", "\x07", "\x7f"};
    for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++)
        assert_close(words_width(face, &style, broken[i]), mark_px, 1e-9, 0);
    assert_close(words_width(face, &style,
                             "\xc3"
                             "A"),
                 mark_px + words_width(face, &style, "A"), 0, 1);
    font_close(face);
}

static void long_words_are_cut_with_dots_between_letters(void **state)
{
    (void)state;
    font *face = plain_font();
    lettering style = {.size_px = 20};
    char fitted[64], tight[8];
    words_fit(face, &style, "sch\u00f6n und gut", 500, fitted, sizeof fitted);
    assert_string_equal(fitted, "sch\u00f6n und gut");
    words_fit(face, &style, "\u00b5\u00b5\u00b5\u00b5\u00b5\u00b5\u00b5\u00b5", 80, fitted,
              sizeof fitted);
    size_t length = strlen(fitted);
    assert_string_equal(fitted + length - 3, "...");
    assert_int_equal((length - 3) % 2, 0);
    assert_in_range(length, 5, 13);
    assert_true(words_width(face, &style, fitted) <= 80);
    words_fit(face, &style, "abcdefghijkl", 500, tight, sizeof tight);
    assert_string_equal(tight, "abcd...");
    font_close(face);
}

static void a_file_that_is_no_font_is_refused(void **state)
{
    (void)state;
    font *face = NULL;
    assert_int_equal(font_open("/nowhere/at-all.ttf", &face), SF_ERROR_ARGUMENT);
    assert_null(face);
    assert_int_equal(font_open(source_path("meson.build"), &face), SF_ERROR_ARGUMENT);
    assert_null(face);
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
        cmocka_unit_test(ink_is_laid_where_shapes_are_and_they_are_used_up),
        cmocka_unit_test(ink_keeps_inside_the_clip_and_the_board),
        cmocka_unit_test(words_cover_the_width_they_measure),
        cmocka_unit_test(the_bitmap_letters_have_a_degree_sign),
        cmocka_unit_test(turned_words_run_the_way_they_are_turned),
        cmocka_unit_test(a_halo_reaches_beyond_its_letters),
        cmocka_unit_test(broken_text_reads_as_question_marks),
        cmocka_unit_test(long_words_are_cut_with_dots_between_letters),
        cmocka_unit_test(a_file_that_is_no_font_is_refused),
    };
    return cmocka_run_group_tests_name("draw: raster", tests, NULL, NULL);
}
