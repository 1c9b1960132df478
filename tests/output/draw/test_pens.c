/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Pens on the page, and letters. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "output/draw/canvas.h"
#include "output/draw/font.h"
#include "output/draw/text_lines.h"

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
    return page->pens.colours[page->image->pixels[y][x]];
}

static void pen_is_laid_where_shapes_are_and_they_are_used_up(void **state)
{
    (void)state;
    canvas *page = page_of(120, 80);
    mask_disc(&page->shapes, (place){60, 40}, 20);
    canvas_lay(page, PEN_ALERT, 1);
    sf_colour middle = colour_at(page, 60, 40), corner = colour_at(page, 3, 3);
    sf_colour alert = pen_colours[PEN_ALERT], paper = pen_colours[PEN_PAPER];
    assert_memory_equal(&middle, &alert, sizeof alert);
    assert_memory_equal(&corner, &paper, sizeof paper);
    for (int i = 0; i < 120 * 80; i++)
        assert_int_equal(page->shapes.cover[i], 0);
    close_page(page);
}

static void pen_keeps_inside_the_clip_and_the_board(void **state)
{
    (void)state;
    canvas *page = page_of(120, 80);
    box half = {0, 0, 60, 80};
    place all[] = {{0, 0}, {120, 0}, {120, 80}, {0, 80}},
          board[] = {{0, 0}, {120, 0}, {120, 30}, {0, 30}};
    canvas_clip(page, &half);
    mask_polygon(&page->shapes, all, 4, MASK_ADD);
    canvas_lay(page, PEN_DARK, 1);
    canvas_clip(page, NULL);
    mask_polygon(&page->board, board, 4, MASK_ADD);
    mask_polygon(&page->shapes, all, 4, MASK_ADD);
    canvas_lay_on_board(page, PEN_ALERT, 1);
    assert_int_equal(colour_at(page, 30, 60).red, pen_colours[PEN_DARK].red);
    assert_int_equal(colour_at(page, 90, 60).red, 255);
    assert_int_equal(colour_at(page, 90, 10).red, pen_colours[PEN_ALERT].red);
    assert_int_equal(colour_at(page, 30, 10).red, pen_colours[PEN_ALERT].red);
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
        text_style style = {.size_px = 24, .laid = PEN_DARK};
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
    text_style style = {.size_px = 26, .laid = PEN_DARK};
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
    text_style style = {.size_px = 20, .laid = PEN_DARK};
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
    text_style plain = {.size_px = 24, .laid = PEN_ALERT};
    text_style haloed = {.size_px = 24, .laid = PEN_ALERT, .halo_px = 3, .halo = PEN_DARK};
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
    text_style style = {.size_px = 17};
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
    text_style style = {.size_px = 20};
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
        cmocka_unit_test(pen_is_laid_where_shapes_are_and_they_are_used_up),
        cmocka_unit_test(pen_keeps_inside_the_clip_and_the_board),
        cmocka_unit_test(words_cover_the_width_they_measure),
        cmocka_unit_test(the_bitmap_letters_have_a_degree_sign),
        cmocka_unit_test(turned_words_run_the_way_they_are_turned),
        cmocka_unit_test(a_halo_reaches_beyond_its_letters),
        cmocka_unit_test(broken_text_reads_as_question_marks),
        cmocka_unit_test(long_words_are_cut_with_dots_between_letters),
        cmocka_unit_test(a_file_that_is_no_font_is_refused),
    };
    return cmocka_run_group_tests_name("draw: pen", tests, NULL, NULL);
}
