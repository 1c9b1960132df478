/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* CSV files changed cell by cell: what is not changed keeps its bytes. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "page/sheet.h"
#include "spotfield/job.h"

static void read_words(sheet *into, const char *words)
{
    size_t size = strlen(words);
    char *bytes = malloc(size + 1);
    assert_non_null(bytes);
    memcpy(bytes, words, size + 1);
    assert_int_equal(sheet_read(into, bytes, size), SF_OK);
}

static void assert_bytes(const sheet *of, const char *expected)
{
    assert_int_equal(of->size, strlen(expected));
    assert_memory_equal(of->bytes, expected, of->size);
}

static void assert_text(const sheet *of, size_t row, size_t column, const char *expected)
{
    assert_string_equal(sheet_text(of, row, column), expected);
}

static void a_cell_changes_and_every_other_byte_stays(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "\xEF\xBB\xBF# head\r\nref ; x_mm;odd\r\n\r\n\"C 7\";12,5 ;\"a;\"\"b\"\r\n# "
                      "between\r\nC8;31,25;\r\n# tail");
    assert_int_equal(sheet_set_raw(&read, 2, 1, "17,75"), SF_OK);
    assert_bytes(&read,
                 "\xEF\xBB\xBF# head\r\nref ; x_mm;odd\r\n\r\n\"C 7\";12,5 ;\"a;\"\"b\"\r\n# "
                 "between\r\nC8;17,75;\r\n# tail");
    assert_text(&read, 1, 0, "C 7");
    assert_text(&read, 1, 2, "a;\"b");
    sheet_clear(&read);
}

static void a_heading_that_means_a_column_is_that_column_where_none_has_its_name(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "Designator,x,x_mm,Y\nC7,1.5,12.5,31.25\n");
    assert_int_equal(table_column(&read.table, "ref"), 0);
    assert_int_equal(table_column(&read.table, "x_mm"), 2);
    assert_int_equal(table_column(&read.table, "y_mm"), 3);
    assert_int_equal(table_column(&read.table, "rated_v"), TABLE_NO_COLUMN);
    sheet_clear(&read);
}

static void a_short_row_is_filled_up_to_the_cell_that_is_set(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "ref,x_mm,y_mm,note\nC7,12.5\n");
    assert_int_equal(sheet_set_raw(&read, 1, 3, "warm"), SF_OK);
    assert_bytes(&read, "ref,x_mm,y_mm,note\nC7,12.5,,warm\n");
    sheet_clear(&read);
}

static void cells_that_a_short_row_lacks_are_blank(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "ref,x_mm,y_mm\nC7,\"\"\nC8,12.5,31\n");
    assert_text(&read, 1, 1, ""); /* two quotation marks hold nothing */
    assert_text(&read, 1, 2, "");
    assert_text(&read, 1, 3, "");
    assert_text(&read, 2, 2, "31");
    sheet_clear(&read);
}

static void a_lone_carriage_return_ends_a_row(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "\xEF\xBB\xBFref,x_mm\rC7,12.5\rC8,31\r");
    assert_int_equal(read.row_count, 3);
    assert_text(&read, 0, 0, "ref");
    assert_text(&read, 1, 0, "C7");
    assert_text(&read, 2, 1, "31");
    assert_int_equal(sheet_delete(&read, 1), SF_OK);
    assert_bytes(&read, "\xEF\xBB\xBFref,x_mm\rC8,31\r");
    sheet_clear(&read);
}

static void a_row_goes_behind_the_last_one_and_before_the_comments_after_it(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "ref,x_mm\nC7,12.5\n# the end\n");
    assert_int_equal(sheet_insert_raw(&read, read.row_count, "C8,31"), SF_OK);
    assert_bytes(&read, "ref,x_mm\nC7,12.5\nC8,31\n# the end\n");
    sheet_clear(&read);
}

static void a_file_without_a_last_line_end_is_given_one_between_the_rows(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "ref,x_mm\r\nC7,12.5");
    assert_int_equal(sheet_insert_raw(&read, 2, "C8,31"), SF_OK);
    assert_bytes(&read, "ref,x_mm\r\nC7,12.5\r\nC8,31");
    sheet_clear(&read);
}

static void a_row_with_a_line_end_inside_its_marks_is_taken_away_whole(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "ref,note\nC7,\"two\nlines\"\nC8,\n");
    assert_int_equal(sheet_delete(&read, 1), SF_OK);
    assert_bytes(&read, "ref,note\nC8,\n");
    sheet_clear(&read);
}

static void an_unknown_column_is_added_to_the_header_alone(void **state)
{
    (void)state;
    sheet read;
    read_words(&read, "ref,x_mm\nC7,12.5\nC8,31\n");
    assert_int_equal(sheet_add_column(&read, "note"), SF_OK);
    assert_bytes(&read, "ref,x_mm,note\nC7,12.5\nC8,31\n");
    assert_int_equal(table_column(&read.table, "NOTE"), 2);
    sheet_clear(&read);
}

static void assert_quoted(const char *file, const char *words, const char *expected)
{
    sheet read;
    read_words(&read, file);
    char *cell = sheet_quote(&read, words);
    assert_string_equal(cell, expected);
    free(cell);
    sheet_clear(&read);
}

static void numbers_take_the_decimal_sign_of_the_file(void **state)
{
    (void)state;
    assert_quoted("ref;x_mm\nC7;12,5\n", "-17.25", "-17,25");
    assert_quoted("ref;x_mm\nC7;12.5\n", "-17.25", "-17.25");
    assert_quoted("ref,x_mm\nC7,\"12,5\"\n", "17.25", "\"17,25\"");
    assert_quoted("ref;x_mm\nC7;12,5\n", "+17.25", "+17,25");
    assert_quoted("ref;note\nC7;1,234,567\n", "17.25", "17.25"); /* those part thousands */
}

static void what_is_no_number_keeps_its_points(void **state)
{
    (void)state;
    assert_quoted("ref;x_mm\nC7;12,5\n", "rev 1.7", "rev 1.7");
    assert_quoted("ref;x_mm\nC7;12,5\n", "1.7.3", "1.7.3");
    assert_quoted("ref;x_mm\nC7;12,5\n", ".", ".");
    assert_quoted("ref;x_mm\nC7;12,5\n", "-", "'-");
}

/* "r;r;...;r" of so many columns; freed by the sheet. */
static char *wide_header(size_t columns)
{
    char *bytes = malloc(2 * columns);
    assert_non_null(bytes);
    for (size_t i = 0; i < columns; i++) {
        bytes[2 * i] = 'r';
        bytes[2 * i + 1] = ';';
    }
    bytes[2 * columns - 1] = '\0';
    return bytes;
}

static void a_header_of_more_columns_than_a_job_may_have_is_no_sheet(void **state)
{
    (void)state;
    sheet read;
    assert_int_equal(sheet_read(&read, wide_header(SF_COLUMNS_MAX + 1), 2 * SF_COLUMNS_MAX + 1),
                     SF_ERROR_DATA);
    assert_int_equal(sheet_read(&read, wide_header(SF_COLUMNS_MAX), 2 * SF_COLUMNS_MAX - 1), SF_OK);
    assert_int_equal(read.table.column_count, SF_COLUMNS_MAX);
    assert_int_equal(sheet_add_column(&read, "note"), SF_ERROR_DATA);
    assert_int_equal(read.table.column_count, SF_COLUMNS_MAX);
    sheet_clear(&read);
}

/* RFC 4180, section 2, rules 6 and 7. */
static void a_cell_is_quoted_where_the_format_asks_for_it(void **state)
{
    (void)state;
    assert_quoted("a,b\n1,2\n", "by R7, warm", "\"by R7, warm\"");
    assert_quoted("a;b\n1;2\n", "by R7, warm", "by R7, warm");
    assert_quoted("a,b\n1,2\n", "the \"old\" one", "\"the \"\"old\"\" one\"");
    assert_quoted("a,b\n1,2\n", "#4", "\"#4\"");
}

/* OWASP, CSV Injection: an apostrophe before what a spreadsheet would run. */
static void a_formula_is_guarded_and_a_negative_number_is_not(void **state)
{
    (void)state;
    assert_quoted("a,b\n1,2\n", "=HYPERLINK(A1)", "'=HYPERLINK(A1)");
    assert_quoted("a,b\n1,2\n", "-3.5", "-3.5");
}

static void marks_that_do_not_match_are_refused_and_nothing_is_changed(void **state)
{
    (void)state;
    sheet read;
    char *bytes = strdup("ref,note\nC7,\"open\n");
    assert_int_equal(sheet_read(&read, bytes, strlen(bytes)), SF_ERROR_DATA);
    read_words(&read, "ref,note\nC7,shut\n");
    assert_int_equal(sheet_set_raw(&read, 1, 1, "\"open"), SF_ERROR_DATA);
    assert_bytes(&read, "ref,note\nC7,shut\n");
    sheet_clear(&read);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cell_changes_and_every_other_byte_stays),
        cmocka_unit_test(a_heading_that_means_a_column_is_that_column_where_none_has_its_name),
        cmocka_unit_test(a_short_row_is_filled_up_to_the_cell_that_is_set),
        cmocka_unit_test(cells_that_a_short_row_lacks_are_blank),
        cmocka_unit_test(a_lone_carriage_return_ends_a_row),
        cmocka_unit_test(a_row_goes_behind_the_last_one_and_before_the_comments_after_it),
        cmocka_unit_test(a_file_without_a_last_line_end_is_given_one_between_the_rows),
        cmocka_unit_test(a_row_with_a_line_end_inside_its_marks_is_taken_away_whole),
        cmocka_unit_test(an_unknown_column_is_added_to_the_header_alone),
        cmocka_unit_test(numbers_take_the_decimal_sign_of_the_file),
        cmocka_unit_test(what_is_no_number_keeps_its_points),
        cmocka_unit_test(a_header_of_more_columns_than_a_job_may_have_is_no_sheet),
        cmocka_unit_test(a_cell_is_quoted_where_the_format_asks_for_it),
        cmocka_unit_test(a_formula_is_guarded_and_a_negative_number_is_not),
        cmocka_unit_test(marks_that_do_not_match_are_refused_and_nothing_is_changed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
