/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The sheet that is filled in beside the board: what stands on it, and where its marks point. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "markup.h"
#include "output/report/worksheet.h"
#include "output/set_words.h"

enum { PLACES = 6, WIDTH_PX = 1000, HEIGHT_PX = 700 };

/* Three of them so near to each other that marks all on one side would cover each other. */
static sf_plan_point points[PLACES] = {
    {.x_mm = 40,
     .y_mm = 30,
     .spot = SF_SPOT_PART,
     .side = SF_SIDE_COMPONENT,
     .on = (char[]){"C7"},
     .method = SF_METHOD_THERMOCOUPLE_K,
     .reason = (char[]){"settles C7; at 61 C; discharge first"}},
    {.x_mm = 43.5,
     .y_mm = 31,
     .spot = SF_SPOT_BOARD,
     .side = SF_SIDE_SOLDER,
     .on = (char[]){""},
     .method = SF_METHOD_INFRARED,
     .reason = (char[]){"settles <b>C9</b> & more"}},
    {.x_mm = 41,
     .y_mm = 34,
     .spot = SF_SPOT_BOARD,
     .side = SF_SIDE_EITHER,
     .on = (char[]){"R5"},
     .method = SF_METHOD_THERMOCOUPLE_K,
     .reason = (char[]){"helps settle C12"}},
    {.x_mm = 3, .y_mm = 3, .on = (char[]){""}, .reason = (char[]){"in the corner"}},
    {.x_mm = 88, .y_mm = 58, .on = (char[]){""}, .reason = (char[]){"in the other corner"}},
    {.x_mm = 70, .y_mm = 20, .on = (char[]){""}, .reason = (char[]){"amid the board"}}};

static char *sheet_of(size_t count, bool told)
{
    static unsigned char png[] = {0x89, 'P', 'N', 'G'};
    sf_job job = {.board.name = (char[]){"Talkback"}, .keepout_told = told};
    sf_plan plan = {.points = points, .count = count};
    worksheet shown = {.job = &job,
                       .plan = &plan,
                       .png = png,
                       .png_size = sizeof png,
                       .frame = {WIDTH_PX, HEIGHT_PX, 50, 650, 10}};
    text page = {0};
    worksheet_html(&shown, &page);
    assert_false(page.failed);
    return text_take(&page);
}

/* What a reader sees; freed with free(). Fails where the markup is not sound. */
static char *words_of(size_t count, bool told)
{
    char *page = sheet_of(count, told);
    markup found;
    markup_read(page, &found);
    assert_string_equal(found.fault, "");
    char *words = strdup(found.words.bytes);
    assert_non_null(words);
    markup_clear(&found);
    free(page);
    return words;
}

static void assert_has(const char *whole, const char *part)
{
    if (!strstr(whole, part))
        fail_msg("\"%s\" is missing", part);
}

static void each_place_has_spot_method_side_and_way(void **state)
{
    (void)state;
    char *words = words_of(PLACES, true);
    assert_has(words, "6 places to read");
    assert_has(words, "can of C7");
    assert_has(words, "board at R5");
    assert_has(words, "infrared");
    assert_has(words, "solder side");
    assert_has(words, "settles <b>C9</b> & more");
    assert_has(words, "x 43.5");
    free(words);
}

static size_t count_of(const char *whole, const char *sought)
{
    size_t count = 0;
    for (const char *at = strstr(whole, sought); at; at = strstr(at + 1, sought))
        count++;
    return count;
}

static void each_place_has_blanks_and_a_box(void **state)
{
    (void)state;
    char *page = sheet_of(PLACES, true);
    assert_int_equal(count_of(page, "<td class=\"blank\"></td>"), 2 * PLACES);
    assert_int_equal(count_of(page, "<td class=\"box\">"), PLACES);
    assert_int_equal(count_of(page, "<circle "), PLACES);
    free(page);
}

/* Whatever the sheet is opened in, it fetches nothing and runs nothing. */
static void nothing_comes_from_elsewhere(void **state)
{
    (void)state;
    char *page = sheet_of(PLACES, true);
    assert_null(strstr(page, "http:"));
    assert_null(strstr(page, "https:"));
    assert_null(strstr(page, "<script"));
    assert_has(page, "default-src 'none'");
    assert_has(page, "size: A4 portrait");
    free(page);
}

static void cautions_stand_before_the_first_place(void **state)
{
    (void)state;
    char *words = words_of(PLACES, false);
    const char *first = strstr(words, "can of C7");
    assert_non_null(first);
    for (const char *const *caution = probing_cautions; *caution; caution++) {
        assert_has(words, *caution);
        assert_true(strstr(words, *caution) < first);
    }
    assert_has(words, keepout_question);
    free(words);
    words = words_of(PLACES, true);
    assert_null(strstr(words, keepout_question));
    free(words);
}

typedef struct mark {
    double tip_x, tip_y, x, y, radius;
} mark;

static void read_marks(const char *page, mark marks[PLACES])
{
    const char *at = page;
    for (size_t i = 0; i < PLACES; i++) {
        at = strstr(at, "<path d=\"M");
        assert_non_null(at);
        assert_int_equal(sscanf(at, "<path d=\"M%lf %lf", &marks[i].tip_x, &marks[i].tip_y), 2);
        at = strstr(at, "<circle ");
        assert_non_null(at);
        assert_int_equal(sscanf(at, "<circle cx=\"%lf\" cy=\"%lf\" r=\"%lf\"", &marks[i].x,
                                &marks[i].y, &marks[i].radius),
                         3);
    }
}

/* column = left + x * scale, row = bottom - y * scale, by the frame that sheet_of gives. */
static void the_tip_of_each_mark_is_its_place(void **state)
{
    (void)state;
    char *page = sheet_of(PLACES, true);
    mark marks[PLACES];
    read_marks(page, marks);
    for (size_t i = 0; i < PLACES; i++) {
        assert_true(fabs(marks[i].tip_x - (50 + 10 * points[i].x_mm)) < 0.06);
        assert_true(fabs(marks[i].tip_y - (650 - 10 * points[i].y_mm)) < 0.06);
    }
    free(page);
}

static void numbers_cover_no_place_and_no_other_number(void **state)
{
    (void)state;
    char *page = sheet_of(PLACES, true);
    mark marks[PLACES];
    read_marks(page, marks);
    for (size_t i = 0; i < PLACES; i++) {
        const mark *one = &marks[i];
        assert_true(one->x > one->radius && one->x < WIDTH_PX - one->radius);
        assert_true(one->y > one->radius && one->y < HEIGHT_PX - one->radius);
        for (size_t k = 0; k < PLACES; k++) {
            assert_true(hypot(one->x - marks[k].tip_x, one->y - marks[k].tip_y) > one->radius);
            assert_true(k == i ||
                        hypot(one->x - marks[k].x, one->y - marks[k].y) > 2 * one->radius);
        }
    }
    free(page);
}

static void a_settled_plan_says_so(void **state)
{
    (void)state;
    char *words = words_of(0, true);
    assert_has(words, "No further reading is expected to change a verdict");
    free(words);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_place_has_spot_method_side_and_way),
        cmocka_unit_test(each_place_has_blanks_and_a_box),
        cmocka_unit_test(nothing_comes_from_elsewhere),
        cmocka_unit_test(cautions_stand_before_the_first_place),
        cmocka_unit_test(the_tip_of_each_mark_is_its_place),
        cmocka_unit_test(numbers_cover_no_place_and_no_other_number),
        cmocka_unit_test(a_settled_plan_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
