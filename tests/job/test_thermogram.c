/* thermogram.csv and marks.csv: what is read of them, and what is said of what cannot be. */
#include "job_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/text.h"

/* Of a picture of at least 2 x 2 pixels. */
static const char sound_marks[] = "col,row,x_mm,y_mm\n"
                                  "0,0,4.5,86.25\n"
                                  "1,0,115.5,85.75\n"
                                  "1,1,116.25,3.5\n"
                                  "0,1,3.75,4.25\n";

/* A way to read the sound job, and what came of it. */
typedef struct attempt {
    sf_job *job;
    sf_complaints complaints;
    sf_status status;
    char *lines;
} attempt;

/* The sound job with these files besides (NULL: without), and `readings` (NULL: as it is). */
static attempt try_job(const char *thermogram, const char *marks, const char *board,
                       const char *readings)
{
    attempt tried = {0};
    const char *folder = fresh_folder();
    write_sound_job(folder);
    if (thermogram)
        write_file(folder, "thermogram.csv", thermogram);
    if (marks)
        write_file(folder, "marks.csv", marks);
    if (board)
        write_file(folder, "board.csv", board);
    if (readings)
        write_file(folder, "readings.csv", readings);
    tried.status = sf_job_read(folder, &tried.job, &tried.complaints);
    tried.lines = complaint_lines(&tried.complaints);
    remove_folder(folder);
    return tried;
}

static void clear(attempt *tried)
{
    free(tried->lines);
    sf_job_free(tried->job);
    sf_complaints_clear(&tried->complaints);
}

static void expect_fault(const char *thermogram, const char *marks, const char *lines)
{
    attempt tried = try_job(thermogram, marks, NULL, NULL);
    assert_string_equal(tried.lines, lines);
    assert_int_equal(tried.status, SF_ERROR_DATA);
    assert_null(tried.job);
    clear(&tried);
}

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
    clear(&tried);
}

static void expect_picture(const char *thermogram, size_t columns, size_t rows,
                           const double *expected_c)
{
    expect_picture_of(NULL, thermogram, columns, rows, expected_c);
}

/* --- what is read --- */

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
    };
    for (size_t i = 0; i < sizeof dialects / sizeof *dialects; i++)
        expect_picture(dialects[i], 2, 2, expected_c);
}

/* A decimal comma stands where commas part no cells, so that they can be told apart. */
static void a_decimal_comma_in_quotes_between_commas_is_refused(void **state)
{
    (void)state;
    expect_fault("\"23,5\",41.25\n22.75,63.125\n", sound_marks,
                 "thermogram.csv:1: column 1: \"23,5\" has a decimal comma, but commas part the "
                 "cells, expected a temperature from -100 to 1500 C or a blank cell; a line of "
                 "words begins with #\n");
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
                            "camera_emissivity,0.87,\ncamera_reflected,77,F\ncamera_u,0.9,F\n",
                            NULL);
    assert_string_equal(tried.lines, "");
    const sf_camera *camera = &tried.job->board.camera;
    assert_int_equal(camera->unit, SF_UNIT_CELSIUS);
    assert_close(camera->emissivity, 0.87, 1e-15, 0);
    assert_close(camera->reflected_c, 25, 1e-14, 0);
    assert_close(camera->sd_k, 0.5, 1e-14, 0); /* a difference: 9 F are 5 K */
    clear(&tried);
}

static void a_millivolt_is_no_unit_of_a_picture(void **state)
{
    (void)state;
    char board[256];
    snprintf(board, sizeof board, board_in, "mV");
    attempt tried = try_job("1,2\n3,4\n", sound_marks, board, NULL);
    assert_string_equal(tried.lines,
                        "board.csv:5: camera_unit: \"mV\" is not known, expected C, F or K\n");
    clear(&tried);
}

static bool has_assumption(const sf_job *job, const char *beginning)
{
    for (size_t i = 0; i < job->assumption_count; i++)
        if (strncmp(job->assumptions[i], beginning, strlen(beginning)) == 0)
            return true;
    return false;
}

static void what_is_assumed_of_the_camera_is_said_where_there_is_a_picture(void **state)
{
    (void)state;
    attempt with = try_job("1,2\n3,4\n", sound_marks, NULL, NULL);
    attempt without = try_job(NULL, NULL, NULL, NULL);
    assert_true(has_assumption(with.job, "camera_emissivity not given"));
    assert_true(has_assumption(with.job, "camera_u not given"));
    assert_false(has_assumption(without.job, "camera_"));
    assert_int_equal(without.job->thermogram.columns, 0);
    assert_null(without.job->thermogram.shown_c);
    clear(&with);
    clear(&without);
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
    clear(&tried);
}

static void with_a_thermogram_the_readings_may_be_none(void **state)
{
    (void)state;
    attempt tried =
        try_job("1,2\n3,4\n", sound_marks, NULL, "id,x_mm,y_mm,value,unit,method,spot\n");
    assert_string_equal(tried.lines, "");
    assert_int_equal(tried.job->reading_count, 0);
    clear(&tried);
    const char *folder = fresh_folder();
    char path[512];
    write_sound_job(folder);
    write_file(folder, "thermogram.csv", "1,2\n3,4\n");
    write_file(folder, "marks.csv", sound_marks);
    snprintf(path, sizeof path, "%s/readings.csv", folder);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(sf_job_read(folder, &tried.job, &tried.complaints), SF_OK);
    assert_int_equal(tried.complaints.count, 0);
    sf_job_free(tried.job);
    remove_folder(folder);
}

/* --- what is refused --- */

#define CELL                                                                                       \
    "expected a temperature from -100 to 1500 C or a blank cell; a line of words begins with #\n"

static void what_is_no_temperature_is_told_with_line_and_column(void **state)
{
    (void)state;
    expect_fault("# a comment\n1,x,3\n4,5,nan\n1e300,1e999,0x1F\n-100.1,1500.1,--7\n", sound_marks,
                 "thermogram.csv:2: column 2: \"x\" is no number, " CELL
                 "thermogram.csv:3: column 3: \"nan\" is no number, " CELL
                 "thermogram.csv:4: column 1: \"1e+300\" is out of range, " CELL
                 "thermogram.csv:4: column 2: \"1e999\" is too large for a number, " CELL
                 "thermogram.csv:4: column 3: \"0x1F\" is no number, " CELL
                 "thermogram.csv:5: column 1: \"-100.1\" is out of range, " CELL
                 "thermogram.csv:5: column 2: \"1500.1\" is out of range, " CELL
                 "thermogram.csv:5: column 3: \"--7\" is no number, " CELL);
}

static void ragged_rows_are_told_each(void **state)
{
    (void)state;
    expect_fault("1,2,3\n4,5\n6,7,8\n1,2,3,4\n", sound_marks,
                 "thermogram.csv:2: the row has 2 cells, the first one 3, expected rows of one "
                 "length\n"
                 "thermogram.csv:4: the row has 4 cells, the first one 3, expected rows of one "
                 "length\n");
}

static void blank_cells_beyond_the_first_row_are_dropped(void **state)
{
    (void)state;
    expect_picture("1,2\n3,4,,\n", 2, 2, (double[]){1, 2, 3, 4});
}

static void a_quotation_mark_spoils_its_own_line_alone(void **state)
{
    (void)state;
    expect_fault("1,2\n\"3,4\n5,\"6\"6\n7,x\n", sound_marks,
                 "thermogram.csv:2: a quotation mark opened here is never closed, expected its "
                 "closing quotation mark\n"
                 "thermogram.csv:3: a quotation mark stands in the middle of a cell, expected "
                 "quotation marks about a whole cell, and doubled inside it\n"
                 "thermogram.csv:4: column 2: \"x\" is no number, " CELL);
}

static void a_file_without_rows_is_refused(void **state)
{
    (void)state;
    static const char *const empty[] = {"", "\n\n", "# nothing\n", "\xEF\xBB\xBF", "sep=;\n"};
    for (size_t i = 0; i < sizeof empty / sizeof *empty; i++)
        expect_fault(empty[i], sound_marks,
                     "thermogram.csv: the file holds no row of numbers, " CELL);
}

static void a_single_column_or_row_is_no_picture(void **state)
{
    (void)state;
    expect_fault("1\n2\n3\n", "col,row,x_mm,y_mm\n0,0,1,2\n0,1,3,4\n0,2,5,7\n0,1.5,9,3\n",
                 "thermogram.csv: 1 x 3 pixels are no picture, expected rows of cells parted by "
                 "commas, semicolons or tabs\n");
}

static void another_separator_is_refused(void **state)
{
    (void)state;
    expect_fault("sep=|\n1|2\n3|4\n", sound_marks,
                 "thermogram.csv:1: the line \"sep=\" names another separator, expected a comma, a "
                 "semicolon or a tab\n");
}

/* A picture of columns x rows cells of "7". */
static char *sevens(size_t columns, size_t rows)
{
    text content = {0};
    for (size_t i = 0; i < columns * rows; i++)
        text_add(&content, (i + 1) % columns ? "7," : "7\n");
    char *taken = text_take(&content);
    assert_non_null(taken);
    return taken;
}

static void a_picture_beyond_the_limits_is_refused(void **state)
{
    (void)state;
    char *wide = sevens(5000, 3), *large = sevens(1999, 2002);
    expect_fault(wide, sound_marks,
                 "thermogram.csv:1: the picture has more columns than the limit of 2000\n");
    expect_fault(large, sound_marks,
                 "thermogram.csv:2002: the picture has more pixels than the limit of 4000000\n");
    free(wide);
    free(large);
}

static void a_thousand_bad_cells_are_told_as_twenty_and_a_number(void **state)
{
    (void)state;
    text content = {0};
    for (size_t i = 0; i < 1000; i++)
        text_add(&content, (i + 1) % 50 ? "warm," : "hot\n");
    attempt tried = try_job(content.bytes, sound_marks, NULL, NULL);
    assert_int_equal(tried.status, SF_ERROR_DATA);
    assert_int_equal(tried.complaints.error_count, 21);
    assert_non_null(strstr(tried.lines, "\nthermogram.csv: 980 more faults like these\n"));
    text_clear(&content);
    clear(&tried);
}

static void a_file_without_the_other_is_refused(void **state)
{
    (void)state;
    expect_fault("1,2\n3,4\n", NULL,
                 "marks.csv: is missing, and thermogram.csv is of no use without it, expected both "
                 "files or neither\n");
    expect_fault(NULL, sound_marks,
                 "thermogram.csv: is missing, and marks.csv is of no use without it, expected both "
                 "files or neither\n");
}

static void fewer_than_four_marks_are_refused(void **state)
{
    (void)state;
    expect_fault("1,2\n3,4\n", "col,row,x_mm,y_mm\n0,0,4.5,86.25\n1,0,115.5,85.75\n1,1,116,3.5\n",
                 "marks.csv: the file holds 3 marks, expected four or more places seen both in the "
                 "picture and on the board\n");
    expect_fault("1,2\n3,4\n", "col,row,x_mm,y_mm\n",
                 "marks.csv: the file holds 0 marks, expected four or more places seen both in the "
                 "picture and on the board\n");
}

static void twin_marks_and_marks_off_the_picture_are_refused(void **state)
{
    (void)state;
    expect_fault("1,2\n3,4\n",
                 "col,row,x_mm,y_mm\n0,0,4.5,86.25\n1,0,115.5,85.75\n1,1,116,3.5\n0,1,4.5,86.25\n"
                 "1,1,7.5,9.25\n1.6,0,33,17\n",
                 "marks.csv:5: the mark lies where that of line 2 does, expected places apart in "
                 "the picture and on the board\n"
                 "marks.csv:6: the mark lies where that of line 4 does, expected places apart in "
                 "the picture and on the board\n"
                 "marks.csv:7: (1.6, 0) lies off the picture of 2 x 2 pixels, expected column and "
                 "row counted from 0 at its upper left corner\n");
}

static void faults_of_both_files_come_in_one_run(void **state)
{
    (void)state;
    expect_fault(
        "1,x\n3,4\n", "col,row,x_mm\n0,0,4.5\n",
        "thermogram.csv:1: column 2: \"x\" is no number, " CELL
        "marks.csv:1: y_mm: the column is missing, expected a number from -500 to 2500 mm\n"
        "marks.csv: the file holds 1 mark, expected four or more places seen both in the "
        "picture and on the board\n");
}

/* --- memory --- */

/* Linked with --wrap: the library's calls come here. */
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);

static long calls_left = -1; /* calls that succeed still; below 0: all */

static int fails(void)
{
    return calls_left >= 0 && calls_left-- == 0;
}

void *__wrap_calloc(size_t count, size_t size)
{
    return fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return fails() ? NULL : __real_realloc(block, size);
}

/* What leaks is seen by the sanitizer. */
static void any_allocation_may_fail(void **state)
{
    (void)state;
    const char *folder = fresh_folder();
    write_sound_job(folder);
    write_file(folder, "thermogram.csv", "1,2,3\n4,5,6\n7,8,\n");
    write_file(folder, "marks.csv", sound_marks);
    long tried = 0;
    for (sf_status status = SF_ERROR_MEMORY; status != SF_OK; tried++) {
        sf_job *job = NULL;
        sf_complaints complaints = {0};
        calls_left = tried;
        status = sf_job_read(folder, &job, &complaints);
        calls_left = -1;
        assert_true(status == SF_OK || status == SF_ERROR_MEMORY);
        assert_int_equal(job != NULL, status == SF_OK);
        sf_job_free(job);
        sf_complaints_clear(&complaints);
        assert_true(tried < 2000);
    }
    assert_true(tried > 50);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_and_columns_keep_their_order),
        cmocka_unit_test(a_blank_cell_is_not_known),
        cmocka_unit_test(every_dialect_of_csv_is_read),
        cmocka_unit_test(a_decimal_comma_in_quotes_between_commas_is_refused),
        cmocka_unit_test(every_number_is_read_as_strtod_reads_it),
        cmocka_unit_test(fahrenheit_and_kelvin_become_celsius),
        cmocka_unit_test(keys_of_the_camera_are_read),
        cmocka_unit_test(a_millivolt_is_no_unit_of_a_picture),
        cmocka_unit_test(what_is_assumed_of_the_camera_is_said_where_there_is_a_picture),
        cmocka_unit_test(marks_are_read_with_their_lines),
        cmocka_unit_test(with_a_thermogram_the_readings_may_be_none),
        cmocka_unit_test(what_is_no_temperature_is_told_with_line_and_column),
        cmocka_unit_test(ragged_rows_are_told_each),
        cmocka_unit_test(blank_cells_beyond_the_first_row_are_dropped),
        cmocka_unit_test(a_quotation_mark_spoils_its_own_line_alone),
        cmocka_unit_test(a_file_without_rows_is_refused),
        cmocka_unit_test(a_single_column_or_row_is_no_picture),
        cmocka_unit_test(another_separator_is_refused),
        cmocka_unit_test(a_picture_beyond_the_limits_is_refused),
        cmocka_unit_test(a_thousand_bad_cells_are_told_as_twenty_and_a_number),
        cmocka_unit_test(a_file_without_the_other_is_refused),
        cmocka_unit_test(fewer_than_four_marks_are_refused),
        cmocka_unit_test(twin_marks_and_marks_off_the_picture_are_refused),
        cmocka_unit_test(faults_of_both_files_come_in_one_run),
        cmocka_unit_test(any_allocation_may_fail),
    };
    return cmocka_run_group_tests_name("thermogram", tests, NULL, NULL);
}
