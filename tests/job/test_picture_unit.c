/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A picture whose numbers are no degrees Celsius. */
#include "picture_job.h"

#include <string.h>

#include "core/text.h"

static const char air_alone[] = "id,x_mm,y_mm,value,unit,method,spot\n";

/* A board of 25 to 61 C beside readings of 58.7 and less, in Fahrenheit: 77 to 142. */
static const char fahrenheit[] = "77.2,79.9,81.3,84.7\n80.1,95.4,112.8,99.6\n"
                                 "82.6,118.4,141.8,121.1\n79.3,98.2,110.5,90.7\n";

static void a_picture_in_fahrenheit_is_read_where_readings_say_so(void **state)
{
    (void)state;
    attempt tried = try_job(fahrenheit, sound_marks, NULL, NULL);
    assert_int_equal(tried.status, SF_OK);
    assert_non_null(strstr(tried.lines, "they are taken as Fahrenheit"));
    assert_int_equal(tried.job->board.camera.unit, SF_UNIT_FAHRENHEIT);
    /* (77.2 - 32) / 1.8; a float holds it to 2e-6 K */
    assert_close((double)tried.job->thermogram.shown_c[0], 25.1111, 0, 1e-4);
    assert_close((double)tried.job->thermogram.shown_c[10], 61.0, 0, 1e-4);
    clear_attempt(&tried);
}

static void without_readings_it_is_asked_about_and_left(void **state)
{
    (void)state;
    attempt tried = try_job(fahrenheit, sound_marks, NULL, air_alone);
    assert_int_equal(tried.status, SF_OK);
    assert_non_null(strstr(tried.lines, "looks as if it were in degrees Fahrenheit, expected "
                                        "camera_unit,F in board.csv"));
    assert_close((double)tried.job->thermogram.shown_c[0], 77.2, 0, 1e-4);
    clear_attempt(&tried);
}

static void a_unit_that_was_given_is_believed(void **state)
{
    (void)state;
    text board = {0};
    text_add(&board, sound_board);
    text_add(&board, "camera_unit,C,\n");
    attempt tried = try_job(fahrenheit, sound_marks, board.bytes, NULL);
    assert_int_equal(tried.status, SF_OK);
    assert_null(strstr(tried.lines, "Fahrenheit"));
    assert_close((double)tried.job->thermogram.shown_c[0], 77.2, 0, 1e-4);
    clear_attempt(&tried);
    text_clear(&board);
}

/* Warm all over, but by no more than boards are. */
static void a_warm_board_in_celsius_is_left_alone(void **state)
{
    (void)state;
    attempt tried = try_job("41.2,45.9,44.3,47.7\n44.1,55.4,62.8,59.6\n", sound_marks, NULL, NULL);
    assert_string_equal(tried.lines, "");
    assert_close((double)tried.job->thermogram.shown_c[0], 41.2, 0, 1e-4);
    clear_attempt(&tried);
}

/* --- the mask --- */

static const char celsius[] = "25.2,26.9\n31.3,28.7\n";

static void a_mask_is_read_as_rings(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    write_sound_job(folder);
    write_file(folder, "thermogram.csv", celsius);
    write_file(folder, "marks.csv", sound_marks);
    write_file(folder, "mask.csv",
               "ring,x_mm,y_mm,reason\n3,10,12.5,shield\n3,24,12.5,\n3,24,30,\n"
               "7,50,50,\n7,60,50,\n7,60,58,\n");
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    assert_int_equal(diagnostics.warning_count, 0);
    assert_int_equal(job->mask_count, 2);
    assert_int_equal(job->masks[0].number, 3);
    assert_string_equal(job->masks[0].reason, "shield");
    assert_close(job->masks[0].points[2].y_mm, 30, 0, 0);
    assert_close(job->masks[1].points[1].x_mm, 60, 0, 0);
    remove_folder(folder);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
}

static void faults_of_a_mask_are_told_where_they_are(void **state)
{
    (void)state;
    assert_refused("mask.csv", "ring,x_mm,y_mm\n2,10,10\n2,130,10\n2,10,40\n",
                   "mask.csv:3: corner (130, 10) of ring 2 lies 10.0 mm outside the board of 120 x "
                   "90 mm, expected corners inside that box\n");
    assert_refused("mask.csv", "ring,x_mm,y_mm\n2,10,10\n2,20,10\n",
                   "mask.csv:2: ring 2 has 2 different corners, expected at least 3\n");
}

static void a_mask_without_a_picture_is_warned_of(void **state)
{
    (void)state;
    assert_warned("mask.csv", "ring,x_mm,y_mm\n2,10,10\n2,20,10\n2,20,30\n",
                  "mask.csv: warning: there is no thermogram for it to mask, expected "
                  "thermogram.csv and marks.csv\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_picture_in_fahrenheit_is_read_where_readings_say_so),
        cmocka_unit_test(without_readings_it_is_asked_about_and_left),
        cmocka_unit_test(a_unit_that_was_given_is_believed),
        cmocka_unit_test(a_warm_board_in_celsius_is_left_alone),
        cmocka_unit_test(a_mask_is_read_as_rings),
        cmocka_unit_test(faults_of_a_mask_are_told_where_they_are),
        cmocka_unit_test(a_mask_without_a_picture_is_warned_of),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
