/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* thermogram.csv and marks.csv: what is said of what cannot be read. */
#include "picture_job.h"

#include <stdlib.h>
#include <string.h>

#include "core/text.h"

static void expect_fault(const char *thermogram, const char *marks, const char *lines)
{
    attempt tried = try_job(thermogram, marks, NULL, NULL);
    assert_string_equal(tried.lines, lines);
    assert_int_equal(tried.status, SF_ERROR_DATA);
    assert_null(tried.job);
    clear_attempt(&tried);
}

#define CELL                                                                                       \
    "expected a temperature from -100 to 1500 C, or a blank cell or NaN where there is none\n"

/* Rows of "23,5,24,0,...": a decimal comma between commas. */
static void a_decimal_comma_between_commas_is_one_sentence(void **state)
{
    (void)state;
    text content = {0};
    for (size_t row = 0; row < 6; row++)
        for (size_t i = 0; i < 8; i++)
            text_addf(&content, "%zu,%zu%c", 23 + (row + i) / 4, (7 * row + 3 * i) % 10,
                      i == 7 ? '\n' : ',');
    expect_fault(
        content.bytes, sound_marks,
        "thermogram.csv:1: there are commas both between the cells and in the numbers: every "
        "second cell looks like the decimals of the one before it, expected semicolons or "
        "tabs between the cells, or decimal points\n");
    text_clear(&content);
}

/* Two pictures in one file would be one of twice the height. */
static void words_amid_the_rows_are_one_sentence(void **state)
{
    (void)state;
    expect_fault(
        "Frame 1\n23.5,24,25\n26,27,28\nFrame 2\n33.5,34,35\n36,37,38\n", sound_marks,
        "thermogram.csv:4: there is a line of words among the rows of numbers, expected one "
        "picture a file, words before or after it, or behind #\n");
}

static void what_is_no_temperature_is_told_with_line_and_column(void **state)
{
    (void)state;
    expect_fault("# a comment\n1,x,3\n4,5,inf\n1e300,1e999,0x1F\n-100.1,1500.1,--7\n", sound_marks,
                 "thermogram.csv:2: column 2: \"x\" is not a number, " CELL
                 "thermogram.csv:3: column 3: \"inf\" is not a number, " CELL
                 "thermogram.csv:4: column 1: \"1e+300\" is out of range, " CELL
                 "thermogram.csv:4: column 2: \"1e999\" is too large for a number, " CELL
                 "thermogram.csv:4: column 3: \"0x1F\" is not a number, " CELL
                 "thermogram.csv:5: column 1: \"-100.1\" is out of range, " CELL
                 "thermogram.csv:5: column 2: \"1500.1\" is out of range, " CELL
                 "thermogram.csv:5: column 3: \"--7\" is not a number, " CELL);
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

static void a_quotation_mark_spoils_its_own_line_alone(void **state)
{
    (void)state;
    expect_fault("1,2\n\"3,4\n5,\"6\"6\n7,x\n", sound_marks,
                 "thermogram.csv:2: a quotation mark opened here is never closed, expected its "
                 "closing quotation mark\n"
                 "thermogram.csv:3: there is a quotation mark in the middle of a cell, expected "
                 "quotation marks around a whole cell, and doubled inside it\n"
                 "thermogram.csv:4: column 2: \"x\" is not a number, " CELL);
}

static void a_file_without_rows_is_refused(void **state)
{
    (void)state;
    static const char *const empty[] = {"", "\n\n", "# nothing\n", "\xEF\xBB\xBF", "sep=;\n"};
    for (size_t i = 0; i < sizeof empty / sizeof *empty; i++)
        expect_fault(empty[i], sound_marks,
                     "thermogram.csv: the file has no row of numbers, " CELL);
}

static void a_single_column_or_row_is_no_picture(void **state)
{
    (void)state;
    expect_fault(
        "1\n2\n3\n", "col,row,x_mm,y_mm\n0,0,1,2\n0,1,3,4\n0,2,5,7\n0,1.5,9,3\n",
        "thermogram.csv: 1 x 3 pixels are not a picture, expected rows of cells separated by "
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
        text_add(&content, (i + 1) % 50 ? "warm," : "7\n");
    attempt tried = try_job(content.bytes, sound_marks, NULL, NULL);
    assert_int_equal(tried.status, SF_ERROR_DATA);
    assert_int_equal(tried.diagnostics.error_count, 21);
    assert_non_null(strstr(tried.lines, "\nthermogram.csv: 960 more faults like these\n"));
    text_clear(&content);
    clear_attempt(&tried);
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
    expect_fault(
        "1,2\n3,4\n",
        "col,row,x_mm,y_mm\n0,0,4.5,86.25\n1,0,115.5,85.75\n1,1,116,3.5\n0,1,4.5,86.25\n"
        "1,1,7.5,9.25\n1.6,0,33,17\n",
        "marks.csv:5: the mark is in the same place as that of line 2, expected places apart in "
        "the picture and on the board\n"
        "marks.csv:6: the mark is in the same place as that of line 4, expected places apart in "
        "the picture and on the board\n"
        "marks.csv:7: (1.6, 0) lies off the picture of 2 x 2 pixels, expected column and "
        "row counted from 0 at its upper left corner\n");
}

static void faults_of_both_files_come_in_one_run(void **state)
{
    (void)state;
    expect_fault(
        "1,x\n3,4\n", "col,row,x_mm\n0,0,4.5\n",
        "thermogram.csv:1: column 2: \"x\" is not a number, " CELL
        "marks.csv:1: y_mm: the column is missing, expected a number from -500 to 2500 mm\n"
        "marks.csv: the file holds 1 mark, expected four or more places seen both in the "
        "picture and on the board\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_decimal_comma_between_commas_is_one_sentence),
        cmocka_unit_test(words_amid_the_rows_are_one_sentence),
        cmocka_unit_test(what_is_no_temperature_is_told_with_line_and_column),
        cmocka_unit_test(ragged_rows_are_told_each),
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
    };
    return cmocka_run_group_tests_name("thermogram complaints", tests, NULL, NULL);
}
