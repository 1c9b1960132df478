/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What in a thermogram is no board, metal and what is masked, and pictures that lie another way
 * than their marks say. */
#include "readings/camera_bench.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* Shows a temperature over a rectangle of the board. */
static void show(bench *on, double left, double right, double low, double high, double temp_c)
{
    for (size_t i = 0; i < PIXELS; i++) {
        double x_mm, y_mm;
        unproject((double)(i % COLUMNS), (double)(i / COLUMNS), &x_mm, &y_mm);
        if (x_mm > left && x_mm < right && y_mm > low && y_mm < high)
            on->shown_c[i] = (float)temp_c;
    }
}

/* Two sources on a board that spreads their heat over 15 mm: K0 is what a fin on an endless plate
 * does (computed from the formula). Between them lies a valley. */
static void heat(bench *on, sf_point one, sf_point other)
{
    for (size_t i = 0; i < PIXELS; i++) {
        double x_mm, y_mm;
        unproject((double)(i % COLUMNS), (double)(i / COLUMNS), &x_mm, &y_mm);
        double near = fmax(hypot(x_mm - one.x_mm, y_mm - one.y_mm), 4);
        double far = fmax(hypot(x_mm - other.x_mm, y_mm - other.y_mm), 4);
        on->shown_c[i] =
            (float)(AIR_C + 6 + 18 * gsl_sf_bessel_K0(near / 15) + 31 * gsl_sf_bessel_K0(far / 15));
    }
}

static void bare_metal_is_left_out_and_its_ring_told(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    show(&on, 48, 66, 22, 36, AIR_C + 1.7);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(count_in(on.pixels, 47.5, 66.5, 21.5, 36.5), 0);
    assert_int_equal(on.pixels->patch_count, 1);
    assert_true(on.pixels->cold > 60);
    /* amid the patch the board rises by 36.9 - 22.4 K (true_c), and the metal by 1.7 */
    assert_close(on.pixels->patches[0].below_k, true_c(57, 29) - AIR_C - 1.7, 0, 1);
    assert_non_null(strstr(diagnostic(&on.diagnostics, 0),
                           "looks like bare metal, expected a ring in mask.csv, such as 1,"));
    sf_ring mask = {1, on.pixels->patches[0].corners, 4, ""};
    bench masked;
    lay_bench(&masked);
    show(&masked, 48, 66, 22, 36, AIR_C + 1.7);
    masked.job.masks = &mask;
    masked.job.mask_count = 1;
    correct_quietly(&masked);
    assert_int_equal(masked.pixels->cold, 0);
    assert_true(masked.pixels->masked > 60);
    assert_int_equal(count_in(masked.pixels, 47.5, 66.5, 21.5, 36.5), 0);
    clear_bench(&masked);
    clear_bench(&on);
}

static void a_wire_across_the_board_is_left_out(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    show(&on, 20, 110, 52, 55, AIR_C + 3);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(count_in(on.pixels, 24, 106, 52, 55), 0);
    clear_bench(&on);
}

/* Heat that only enters makes no hollow as deep as metal does, neither between two sources nor
 * beside a body that is hotter than its board. */
static void no_valley_of_a_board_is_taken_for_metal(void **state)
{
    (void)state;
    static const sf_point others[] = {{64, 45}, {90, 30}, {40, 75}};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        bench on;
        lay_bench(&on);
        heat(&on, (sf_point){35, 45}, others[i]);
        correct_quietly(&on);
        assert_int_equal(on.pixels->cold, 0);
        clear_bench(&on);
        lay_bench(&on);
        heat(&on, (sf_point){35, 45}, others[i]);
        show(&on, others[i].x_mm - 5, others[i].x_mm + 5, others[i].y_mm - 5, others[i].y_mm + 5,
             AIR_C + 75);
        correct(&on);
        assert_int_equal(on.pixels->patch_count, 0);
        clear_bench(&on);
    }
}

/* The picture of a board with two listed sources, put into the file another way. */
static void lay_turned(bench *on, sf_source sources[2], bool upside_down, bool mirrored)
{
    lay_bench(on);
    heat(on, (sf_point){30, 22}, (sf_point){88, 70});
    sources[0] = (sf_source){.ref = "U1", .x_mm = 30, .y_mm = 22, .width_mm = 8, .height_mm = 8};
    sources[1] = (sf_source){.ref = "R5", .x_mm = 88, .y_mm = 70, .width_mm = 8, .height_mm = 8};
    on->job.sources = sources;
    on->job.source_count = 2;
    static float as_it_was[PIXELS];
    memcpy(as_it_was, on->shown_c, sizeof as_it_was);
    for (size_t i = 0; i < PIXELS; i++) {
        size_t row = upside_down ? ROWS - 1 - i / COLUMNS : i / COLUMNS;
        size_t column = mirrored ? COLUMNS - 1 - i % COLUMNS : i % COLUMNS;
        on->shown_c[i] = as_it_was[row * COLUMNS + column];
    }
}

static void a_picture_that_lies_another_way_is_told(void **state)
{
    (void)state;
    static const struct {
        bool upside_down, mirrored;
        const char *turned;
    } ways[] = {{true, true, "turned by 180 degrees"},
                {true, false, "mirrored top to bottom"},
                {false, true, "mirrored left to right"}};
    sf_source sources[2];
    bench on;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        lay_turned(&on, sources, ways[i].upside_down, ways[i].mirrored);
        correct(&on);
        assert_int_equal(on.status, SF_OK);
        assert_non_null(on.pixels->turned);
        assert_string_equal(on.pixels->turned, ways[i].turned);
        assert_non_null(
            strstr(diagnostic(&on.diagnostics, 0), "fits the listed sources far better"));
        clear_bench(&on);
    }
    lay_turned(&on, sources, false, false);
    correct_quietly(&on);
    assert_null(on.pixels->turned);
    clear_bench(&on);
}

/* The same picture stood on end: so many quarters clockwise, 4 and more mirrored before. */
static void lay_on_end(bench *on, sf_source sources[2], int turn)
{
    lay_turned(on, sources, false, turn >= 4);
    static float lying[PIXELS];
    memcpy(lying, on->shown_c, sizeof lying);
    for (size_t i = 0; i < PIXELS; i++) {
        size_t row = i / ROWS, column = i % ROWS;
        size_t was_row = turn % 4 == 1 ? ROWS - 1 - column : column;
        size_t was_column = turn % 4 == 1 ? row : COLUMNS - 1 - row;
        on->shown_c[i] = lying[was_row * COLUMNS + was_column];
    }
    on->job.thermogram.columns = ROWS;
    on->job.thermogram.rows = COLUMNS;
}

static void a_wide_picture_stood_on_end_is_one_sentence(void **state)
{
    (void)state;
    static const struct {
        int turn;
        const char *turned;
    } ways[] = {
        {1, "turned by 90 degrees counterclockwise"},
        {3, "turned by 90 degrees clockwise"},
        {5, "turned by 90 degrees counterclockwise and then mirrored left to right"},
        {7, "turned by 90 degrees clockwise and then mirrored left to right"},
    };
    sf_source sources[2];
    char expected[400];
    bench on;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        lay_on_end(&on, sources, ways[i].turn);
        correct(&on);
        snprintf(expected, sizeof expected,
                 "marks.csv: the picture is 72 pixels wide and 96 high, but the marks fit one "
                 "of 96 by 72: it fits the listed sources %s, expected column and row counted "
                 "from 0 at the upper left corner of the picture in the file",
                 ways[i].turned);
        assert_int_equal(on.status, SF_ERROR_DATA);
        assert_int_equal(on.diagnostics.count, 1);
        assert_string_equal(diagnostic(&on.diagnostics, 0), expected);
        assert_null(on.pixels);
        clear_bench(&on);
    }
    /* two warm places that fit either way about, and a board without listed sources */
    for (size_t listed = 0; listed <= 2; listed += 2) {
        lay_on_end(&on, sources, 1);
        make_even(&on, AIR_C + 9);
        on.job.source_count = listed;
        correct(&on);
        assert_int_equal(on.status, SF_ERROR_DATA);
        assert_non_null(strstr(diagnostic(&on.diagnostics, 0), "96 by 72: turned by a quarter"));
        clear_bench(&on);
    }
}

/* One source in the middle: every way fits alike. */
static void a_picture_that_fits_every_way_is_not_told_of(void **state)
{
    (void)state;
    sf_source source = {.ref = "U1", .x_mm = 65, .y_mm = 45, .width_mm = 8, .height_mm = 8};
    bench on;
    lay_bench(&on);
    heat(&on, (sf_point){65, 45}, (sf_point){65, 45});
    on.job.sources = &source;
    on.job.source_count = 1;
    correct_quietly(&on);
    assert_null(on.pixels->turned);
    clear_bench(&on);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bare_metal_is_left_out_and_its_ring_told),
        cmocka_unit_test(a_wire_across_the_board_is_left_out),
        cmocka_unit_test(no_valley_of_a_board_is_taken_for_metal),
        cmocka_unit_test(a_picture_that_lies_another_way_is_told),
        cmocka_unit_test(a_wide_picture_stood_on_end_is_one_sentence),
        cmocka_unit_test(a_picture_that_fits_every_way_is_not_told_of),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
