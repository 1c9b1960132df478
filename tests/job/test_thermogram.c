/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* thermogram.csv and marks.csv: what is read of them. */
#include "picture_job.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/text.h"

/* Reads a picture that holds no fault and compares its pixels; NAN stands for a blank one. */
static void expect_picture_of(const char *board, const char *thermogram, size_t columns,
                              size_t rows, const double *expected_c)
{
    attempt tried = try_job(thermogram, sound_marks, board, NULL);
    assert_string_equal(tried.lines, "");
    const sf_thermogram *read = &tried.job->thermogram;
    assert_int_equal(read->columns, columns);
    assert_int_equal(read->rows, rows);
    for (size_t i = 0; i < columns * rows; i++)
        if (isnan(expected_c[i]))
            assert_true(isnan(read->shown_c[i]));
        else
            /* a float holds 400 C to 3e-5 K */
            assert_close((double)read->shown_c[i], expected_c[i], 0, 3e-5);
    clear_attempt(&tried);
}

static void expect_picture(const char *thermogram, size_t columns, size_t rows,
                           const double *expected_c)
{
    expect_picture_of(NULL, thermogram, columns, rows, expected_c);
}

static void rows_and_columns_keep_their_order(void **state)
{
    (void)state;
    expect_picture("23.25,24.5,-1.125\n61.75,.5,7.\n", 3, 2,
                   (double[]){23.25, 24.5, -1.125, 61.75, 0.5, 7});
}

static void a_blank_cell_is_not_known(void **state)
{
    (void)state;
    expect_picture(",24.5\n61.75,\n \t,\"\"\n", 2, 3, (double[]){NAN, 24.5, 61.75, NAN, NAN, NAN});
    expect_picture("NaN,24.5\n61.75,---\n-,n/a\n\"nan\",None\n", 2, 4,
                   (double[]){NAN, 24.5, 61.75, NAN, NAN, NAN, NAN, NAN});
}

static void blank_cells_beyond_the_first_row_are_dropped(void **state)
{
    (void)state;
    expect_picture("1,2\n3,4,,\n", 2, 2, (double[]){1, 2, 3, 4});
}

/* What is wrong is told once the picture is laid on the board, by the way it lies. */
static void marks_of_a_picture_that_stands_on_end_are_left_for_later(void **state)
{
    (void)state;
    static const char marks[] = "col,row,x_mm,y_mm\n0,0,4.5,86.25\n2,0,115.5,85.75\n"
                                "2,1,116.25,3.5\n0,1,3.75,4.25\n";
    attempt tried = try_job("1,2\n3,4\n5,6\n", marks, NULL, NULL);
    assert_string_equal(tried.lines, "");
    assert_int_equal(tried.job->thermogram.mark_count, 4);
    clear_attempt(&tried);
    /* off both */
    tried = try_job("1,2\n3,4\n", marks, NULL, NULL);
    assert_int_equal(tried.status, SF_ERROR_DATA);
    clear_attempt(&tried);
}

/* RFC 4180 for quotation marks; the others are what spreadsheets write, from memory. */
static void every_dialect_of_csv_is_read(void **state)
{
    (void)state;
    static const double expected_c[] = {23.5, 41.25, 22.75, 63.125};
    static const char *const dialects[] = {
        "23.5,41.25\n22.75,63.125\n",
        "23.5,41.25\r\n22.75,63.125\r\n",
        "23.5,41.25\r22.75,63.125\r",
        "23.5,41.25\n22.75,63.125",
        ("\xEF\xBB\xBF"
         "23.5,41.25\n22.75,63.125\n"),
        "23,5;41,25\n22,75;63,125\n",
        "23.5\t41.25\n22.75\t63.125\n",
        "23,5\t41,25\n22,75\t63,125\n",
        "sep=;\n23,5;41,25\n22,75;63,125\n",
        "# 2.5 m, e 0.95\n23.5,41.25\n\n22.75,63.125\n\n",
        "\"23.5\",\"41.25\"\n\"22.75\",\"63.125\"\n",
        " 23.5 , 41.25\n2275e-2,+63.125\n",
        "23.50000000000000000000,41.25\n22.75,0.63125E2\n",
        "\"23,5\",\"41,25\"\n\"22,75\",\"63,125\"\n",
    };
    for (size_t i = 0; i < sizeof dialects / sizeof *dialects; i++)
        expect_picture(dialects[i], 2, 2, expected_c);
}

static void every_number_is_read_as_strtod_reads_it(void **state)
{
    (void)state;
    enum { COUNT = 2000 };
    text content = {0};
    static double expected_c[2 * COUNT];
    unsigned seed = 20731;
    for (size_t i = 0; i < 2 * COUNT; i++) {
        char cell[40];
        seed = seed * 1664525u + 1013904223u;
        snprintf(cell, sizeof cell, "%.*f", (int)(seed >> 28), (double)(seed >> 4) / 671089.3);
        text_addf(&content, "%s%c", cell, i % 2 ? '\n' : ',');
        expected_c[i] = strtod(cell, NULL);
    }
    expect_picture(content.bytes, 2, COUNT, expected_c);
    text_clear(&content);
}

static const char board_in[] = "key,value,unit\nwidth,120,mm\nheight,90,mm\nambient,23.5,C\n"
                               "service_ambient,31,C\n"
                               "camera_unit,%s,\n";

/* The fixed points of the scales: 0 C is 32 F and 273.15 K, 100 C is 212 F and 373.15 K (BIPM, SI
 * Brochure, 9th edition, section 2.3.1 for the kelvin; NIST SP 811, table B.9 for Fahrenheit). */
static void fahrenheit_and_kelvin_become_celsius(void **state)
{
    (void)state;
    char board[256];
    static const double expected_c[] = {0, 100, 37, 100};
    snprintf(board, sizeof board, board_in, "F");
    expect_picture_of(board, "32,212\n98.6,212\n", 2, 2, expected_c);
    snprintf(board, sizeof board, board_in, "K");
    expect_picture_of(board, "273.15,373.15\n310.15,373.15\n", 2, 2, expected_c);
    snprintf(board, sizeof board, board_in, "C");
    expect_picture_of(board, "0,100\n37,100\n", 2, 2, expected_c);
}

static void keys_of_the_camera_are_read(void **state)
{
    (void)state;
    attempt tried = try_job("1,2\n3,4\n", sound_marks,
                            "key,value,unit\nwidth,120,mm\nheight,90,mm\nambient,23.5,C\n"
                            "service_ambient,31,C\n"
                            "camera_emissivity,0.87,\ncamera_reflected,77,F\ncamera_u,0.9,F\n",
                            NULL);
    assert_string_equal(tried.lines, "");
    const sf_camera *camera = &tried.job->board.camera;
    assert_int_equal(camera->unit, SF_UNIT_CELSIUS);
    assert_close(camera->emissivity, 0.87, 1e-15, 0);
    assert_close(camera->reflected_c, 25, 1e-14, 0);
    assert_close(camera->sd_k, 0.5, 1e-14, 0); /* a difference: 9 F are 5 K */
    clear_attempt(&tried);
}

static void a_millivolt_is_no_unit_of_a_picture(void **state)
{
    (void)state;
    char board[256];
    snprintf(board, sizeof board, board_in, "mV");
    attempt tried = try_job("1,2\n3,4\n", sound_marks, board, NULL);
    assert_string_equal(tried.lines,
                        "board.csv:6: camera_unit: \"mV\" is not known, expected C, F or K\n");
    clear_attempt(&tried);
}

static bool assumption_begins(const sf_job *job, const char *beginning)
{
    for (size_t i = 0; i < job->assumption_count; i++)
        if (strncmp(job->assumptions[i], beginning, strlen(beginning)) == 0)
            return true;
    return false;
}

/* How a camera may write the same eight by eight pixels. */
enum { SIDE = 8 };

static double pixel_c(size_t row, size_t column)
{
    return 23.5 + (double)row + 0.25 * (double)column;
}

static void add_rows(text *to, char separator, const char *before_row)
{
    for (size_t row = 0; row < SIDE; row++) {
        if (before_row)
            text_addf(to, before_row, row);
        for (size_t i = 0; i < SIDE; i++)
            text_addf(to, "%g%c", pixel_c(row, i), i + 1 < SIDE ? separator : '\n');
    }
}

static void expect_same_picture(text *content, const char *assumption)
{
    attempt tried = try_job(content->bytes, sound_marks, NULL, NULL);
    assert_string_equal(tried.lines, "");
    assert_int_equal(tried.job->thermogram.columns, SIDE);
    assert_int_equal(tried.job->thermogram.rows, SIDE);
    for (size_t i = 0; i < SIDE * SIDE; i++)
        assert_close((double)tried.job->thermogram.shown_c[i], pixel_c(i / SIDE, i % SIDE), 0,
                     1e-5);
    assert_true(assumption_begins(tried.job, assumption));
    clear_attempt(&tried);
    text_clear(content);
}

static void words_about_a_picture_are_passed_over_and_told(void **state)
{
    (void)state;
    static const char *const before[] = {
        "Camera 7\nEmissivity;0,95\nTaken;12.03.;14:05\nSize;8;8\n",
        "Camera 7;;;;;;;\nEmissivity;0.95;;;;;;\n\n# a comment\nUnit;C\nTaken by;;;;;;;\n",
        "sep=;\nCamera 7\n8;8\nEmissivity;0.95\n---\n",
    };
    for (size_t i = 0; i < sizeof before / sizeof *before; i++) {
        text content = {0};
        text_add(&content, before[i]);
        add_rows(&content, ';', NULL);
        expect_same_picture(&content,
                            "thermogram.csv: 4 lines of words around the picture ignored");
    }
    text after = {0};
    add_rows(&after, ',', NULL);
    text_add(&after, "Least,23.5\nMost,32.25\n");
    expect_same_picture(&after, "thermogram.csv: 2 lines of words around the picture ignored");
}

static void a_row_and_a_column_that_count_are_passed_over_and_told(void **state)
{
    (void)state;
    text row = {0}, column = {0}, both = {0}, named = {0};
    text_add(&row, "0,1,2,3,4,5,6,7\n");
    add_rows(&row, ',', NULL);
    expect_same_picture(&row, "thermogram.csv: the first row of numbers ignored");
    add_rows(&column, '\t', "%zu\t");
    expect_same_picture(&column, "thermogram.csv: the first column of numbers ignored");
    text_add(&both, ",1,2,3,4,5,6,7,8\n");
    add_rows(&both, ',', "%zu,");
    expect_same_picture(&both, "thermogram.csv: the first row and the first column of numbers");
    text_add(&named, "Camera 7\nrow \\ col;1;2;3;4;5;6;7;8\n");
    add_rows(&named, ';', "%zu;");
    expect_same_picture(&named, "thermogram.csv: the first row and the first column of numbers");
}

/* Whole degrees of a slope are no decimals, and no numbers of rows. */
static void a_picture_of_whole_degrees_is_read_whole(void **state)
{
    (void)state;
    text content = {0};
    double expected_c[80];
    for (size_t i = 0; i < 80; i++) {
        expected_c[i] = 24 + floor((double)(i % 10) / 3) + floor((double)i / 20);
        text_addf(&content, "%g%c", expected_c[i], (i + 1) % 10 ? ',' : '\n');
    }
    expect_picture(content.bytes, 10, 8, expected_c);
    text_clear(&content);
}

static void what_is_assumed_of_the_camera_is_said_where_there_is_a_picture(void **state)
{
    (void)state;
    attempt with = try_job("1,2\n3,4\n", sound_marks, NULL, NULL);
    attempt without = try_job(NULL, NULL, NULL, NULL);
    assert_true(assumption_begins(with.job, "camera_emissivity not given"));
    assert_true(assumption_begins(with.job, "camera_u not given"));
    assert_false(assumption_begins(without.job, "camera_"));
    assert_int_equal(without.job->thermogram.columns, 0);
    assert_null(without.job->thermogram.shown_c);
    clear_attempt(&with);
    clear_attempt(&without);
}

static void marks_are_read_with_their_lines(void **state)
{
    (void)state;
    attempt tried = try_job("1,2\n3,4\n", sound_marks, NULL, NULL);
    const sf_thermogram *read = &tried.job->thermogram;
    assert_int_equal(read->mark_count, 4);
    assert_close(read->marks[2].column, 1, 0, 0);
    assert_close(read->marks[2].row, 1, 0, 0);
    assert_close(read->marks[2].x_mm, 116.25, 0, 0);
    assert_close(read->marks[2].y_mm, 3.5, 0, 0);
    assert_int_equal(read->marks[2].line, 4);
    clear_attempt(&tried);
}

static void with_a_thermogram_the_readings_may_be_none(void **state)
{
    (void)state;
    attempt tried =
        try_job("1,2\n3,4\n", sound_marks, NULL, "id,x_mm,y_mm,value,unit,method,spot\n");
    assert_string_equal(tried.lines, "");
    assert_int_equal(tried.job->reading_count, 0);
    clear_attempt(&tried);
    const char *folder = fresh_folder();
    char path[512];
    write_sound_job(folder);
    write_file(folder, "thermogram.csv", "1,2\n3,4\n");
    write_file(folder, "marks.csv", sound_marks);
    snprintf(path, sizeof path, "%s/readings.csv", folder);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(sf_job_read(folder, &tried.job, &tried.diagnostics), SF_OK);
    assert_int_equal(tried.diagnostics.count, 0);
    sf_job_free(tried.job);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(marks_of_a_picture_that_stands_on_end_are_left_for_later),
        cmocka_unit_test(rows_and_columns_keep_their_order),
        cmocka_unit_test(a_blank_cell_is_not_known),
        cmocka_unit_test(blank_cells_beyond_the_first_row_are_dropped),
        cmocka_unit_test(every_dialect_of_csv_is_read),
        cmocka_unit_test(every_number_is_read_as_strtod_reads_it),
        cmocka_unit_test(fahrenheit_and_kelvin_become_celsius),
        cmocka_unit_test(keys_of_the_camera_are_read),
        cmocka_unit_test(a_millivolt_is_no_unit_of_a_picture),
        cmocka_unit_test(words_about_a_picture_are_passed_over_and_told),
        cmocka_unit_test(a_row_and_a_column_that_count_are_passed_over_and_told),
        cmocka_unit_test(a_picture_of_whole_degrees_is_read_whole),
        cmocka_unit_test(what_is_assumed_of_the_camera_is_said_where_there_is_a_picture),
        cmocka_unit_test(marks_are_read_with_their_lines),
        cmocka_unit_test(with_a_thermogram_the_readings_may_be_none),
    };
    return cmocka_run_group_tests_name("thermogram", tests, NULL, NULL);
}
