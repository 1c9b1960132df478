/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is said of a thermogram: what cannot be taken, and what is asked about. */
#include "readings/camera_bench.h"

#include <math.h>

#include <gsl/gsl_errno.h>

static void marks_that_hold_no_map_are_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram.mark_count = 0;
    for (int i = 0; i < 5; i++)
        add_mark(&on, 10 + 22 * i, 8 + 15 * i);
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.pixels);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "marks.csv: the 5 marks do not fix the perspective: ");
    clear_bench(&on);
    lay_bench(&on);
    on.job.thermogram.mark_count = 3;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "marks.csv: the 3 marks do not fix the perspective: ");
    clear_bench(&on);
    lay_bench(&on);
    on.job.thermogram.mark_count = 4;
    on.marks[3] = on.marks[0];
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "marks.csv: the 4 marks do not fix the perspective: ");
    clear_bench(&on);
}

static void a_picture_that_shows_no_board_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    for (size_t i = 0; i < PIXELS; i++)
        on.shown_c[i] = NAN;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.pixels);
    assert_begins(diagnostic(&on.diagnostics, 0), "thermogram.csv: no pixel shows bare board: ");
    clear_bench(&on);
}

static void a_mark_that_was_mistaken_is_named(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_mark(&on, 92, 12);
    on.marks[4].x_mm += 25;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_begins(diagnostic(&on.diagnostics, 0), "marks.csv:6: warning: the mark lies ");
    assert_int_equal(on.diagnostics.count, 1);
    clear_bench(&on);
}

/* A corner bends the map to itself: of eight marks it misses by half its slip, and alone shows all
 * of it. The others are exact, so what is told is the slip. */
static void a_corner_mark_off_by_five_pixels_is_told(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_mark(&on, 92, 12);
    add_mark(&on, 30, 70);
    add_mark(&on, 100, 60);
    correct_quietly(&on);
    sf_pixels_free(on.pixels);
    on.marks[2].x_mm -= 4.5;
    on.marks[2].y_mm -= 6;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "marks.csv:4: warning: the mark lies 7.5 mm from where the other marks put it");
    assert_int_equal(on.diagnostics.count, 1);
    clear_bench(&on);
}

/* Nobody can tell which of four marks is wrong; they always fit. */
static void four_marks_are_never_told_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram.mark_count = 4;
    on.marks[2].x_mm -= 6;
    correct_quietly(&on);
    clear_bench(&on);
}

static void marks_in_a_corner_are_warned_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram.mark_count = 0;
    add_mark(&on, 4, 5);
    add_mark(&on, 44, 7);
    add_mark(&on, 41, 36);
    add_mark(&on, 6, 33);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    /* computed by the shoelace formula: 1076.5 of 11700 mm2 */
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "marks.csv: warning: the marks span 9 % of the board");
    clear_bench(&on);
}

static void a_mirrored_picture_is_taken_as_one_from_below(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_can(&on);
    for (size_t i = 0; i < on.job.thermogram.mark_count; i++)
        on.marks[i].column = COLUMNS - 1 - on.marks[i].column;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_true(on.pixels->from_below);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "marks.csv: warning: the marks turn the board over");
    assert_true(count_in(on.pixels, 34, 46, 54, 66) > 20);
    clear_bench(&on);
}

static void half_a_board_is_warned_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram.rows = ROWS / 2;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "thermogram.csv: warning: the picture shows 50 %");
    /* the lower edge of the last row, 35.5, is the level at which y is 45 of 90 mm */
    assert_close(on.pixels->covered, 0.5, 0, 2e-3);
    clear_bench(&on);
}

static void bare_metal_is_warned_of_and_nonsense_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.board.camera.emissivity = 0.41;
    correct(&on);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "board.csv: warning: camera_emissivity: 0.41: so shiny");
    clear_bench(&on);
    lay_bench(&on);
    on.job.board.camera.emissivity = -0.3;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "board.csv: camera_emissivity: -0.3 is out of range");
    clear_bench(&on);
    lay_bench(&on);
    on.job.board.ambient_c = NAN;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(diagnostic(&on.diagnostics, 0), "board.csv: ambient: nan C is out of range");
    clear_bench(&on);
}

static void a_picture_in_another_unit_is_asked_about(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    for (size_t i = 0; i < PIXELS; i++)
        on.shown_c[i] += 273.15f;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "thermogram.csv: warning: the coldest place it shows on the board is at 30");
    clear_bench(&on);
    lay_bench(&on);
    make_even(&on, 12);
    correct(&on);
    assert_begins(diagnostic(&on.diagnostics, 0),
                  "thermogram.csv: warning: the hottest place it shows on the board is at 12.0 C");
    clear_bench(&on);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(marks_that_hold_no_map_are_refused),
        cmocka_unit_test(a_picture_that_shows_no_board_is_refused),
        cmocka_unit_test(a_mark_that_was_mistaken_is_named),
        cmocka_unit_test(a_corner_mark_off_by_five_pixels_is_told),
        cmocka_unit_test(four_marks_are_never_told_of),
        cmocka_unit_test(marks_in_a_corner_are_warned_of),
        cmocka_unit_test(a_mirrored_picture_is_taken_as_one_from_below),
        cmocka_unit_test(half_a_board_is_warned_of),
        cmocka_unit_test(bare_metal_is_warned_of_and_nonsense_refused),
        cmocka_unit_test(a_picture_in_another_unit_is_asked_about),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("thermogram told", tests, NULL, NULL);
}
