/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cells of a CSV file: digits, quoting, formulas. Read back by libcsv. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/digits.h"
#include "core/text.h"
#include "output/record.h"
#include "output/table.h"

static void numbers_agree_with_printf(void **state)
{
    (void)state;
    double value = 7.3912846e-7;
    for (int i = 0; i < 600; i++, value *= -1.0731) {
        for (int decimals = 0; decimals <= 9; decimals += 3) {
            if (fabs(value) * pow(10, decimals) > 1e11)
                continue; /* so that the product is exact far below the last digit */
            text made = {0};
            char expected[64];
            number_add(&made, value, decimals);
            snprintf(expected, sizeof expected, "%.*f", decimals, value);
            const char *unsigned_zero =
                expected[0] == '-' && strtod(expected, NULL) == 0 ? expected + 1 : expected;
            assert_string_equal(made.bytes, unsigned_zero);
            text_clear(&made);
        }
    }
}

static void check_number(void (*add)(text *, double), double value, const char *expected)
{
    text made = {0};
    text_add(&made, "");
    add(&made, value);
    assert_string_equal(made.bytes, expected);
    text_clear(&made);
}

static void add_four(text *into, double value)
{
    number_add_significant(into, value, 4);
}

static void significant_digits_never_become_an_exponent(void **state)
{
    (void)state;
    check_number(add_four, 0.00012345678, "0.0001235");
    check_number(add_four, 1.6283, "1.628");
    check_number(add_four, -73.468, "-73.47");
    check_number(add_four, 123456.7, "123457");
    check_number(add_four, 1e20, "100000000000000000000");
    check_number(add_four, 0, "0.000");
    check_number(add_four, NAN, "");
    check_number(add_four, -INFINITY, "");
}

static void short_and_grouped_numbers_read_well(void **state)
{
    (void)state;
    check_number(number_add_short, 4.7, "4.7");
    check_number(number_add_short, 2200, "2200");
    check_number(number_add_short, 0.05, "0.05");
    check_number(number_add_short, -0.00001, "0");
    static const struct {
        double value;
        const char *told;
    } numbers[] = {
        {131400, "131,400"}, {-9437, "-9,437"},        {873, "873"},
        {-873, "-873"},      {9999, "9,999"},          {1234567, "1,234,567"},
        {1234.5, "1,234.5"}, {-61000, "-61,000"},      {0.05, "0.05"},
        {100, "100"},        {12345678, "12,345,678"}, {1234.56789, "1,234.5679"},
        {NAN, ""},           {-0.00001, "0"},          {1e20, "1e+20"},
    };
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        assert_string_equal(number_told(numbers[i].value).bytes, numbers[i].told);
}

/* What is written, and what a reader gets. */
static const char *const guarded[][2] = {
    {"=2+3", "'=2+3"},
    {"+49 30 1", "'+49 30 1"},
    {"-C7", "'-C7"},
    {"@SUM(A1)", "'@SUM(A1)"},
    {"\t=1", "'\t=1"},
    {"\r=1", "'\r=1"},
    {"\n=1", "'\n=1"},
    {"=HYPERLINK(\"x\";\"y\")", "'=HYPERLINK(\"x\";\"y\")"},
    {"C7 = 4", "C7 = 4"},
    {"", ""},
    {"C3, C4", "C3, C4"},
    {"a \"quoted\" word", "a \"quoted\" word"},
    {"two\nlines", "two\nlines"},
    {"two\r\nlines", "two\r\nlines"},
    {" outer blanks ", " outer blanks "},
    {"semi;colon", "semi;colon"},
    {"\"", "\""},
    {"\u00B5F \u4E2D", "\u00B5F \u4E2D"},
};

enum { GUARDED = sizeof guarded / sizeof *guarded };

static void guarded_record(const void *of, size_t row, record *into)
{
    const char *const *texts = of;
    record_words(into, "words", row == NO_ROW ? NULL : texts[2 * row]);
    record_number(into, "number", -12.5, 2);
}

static void texts_come_back_whole_and_formulas_disarmed(void **state)
{
    (void)state;
    text made = {0};
    table read;
    records_csv(guarded_record, guarded[0], GUARDED, &made);
    read_back(made.bytes, made.length, &read);
    assert_int_equal(read.rows, 1 + GUARDED);
    assert_int_equal(read.columns, 2);
    for (size_t i = 0; i < GUARDED; i++) {
        assert_string_equal(read.cells[2 * i + 2], guarded[i][1]);
        /* a number is never guarded: it must stay one */
        assert_string_equal(read.cells[2 * i + 3], "-12.50");
    }
    forget(&read);
    text_clear(&made);
}

static void plain_record(const void *of, size_t row, record *into)
{
    (void)of, (void)row;
    record_words(into, "ref", "C17");
    record_words(into, "zone", "hot around H3");
    record_yes_no(into, "listed", true);
    record_yes_no(into, "in_fit", false);
    record_count(into, "parts", 73);
    record_words(into, "none", NULL);
}

static void plain_words_are_not_quoted(void **state)
{
    (void)state;
    text made = {0};
    records_csv(plain_record, NULL, 1, &made);
    assert_string_equal(made.bytes, "ref,zone,listed,in_fit,parts,none\n"
                                    "C17,hot around H3,yes,no,73,\n");
    text_clear(&made);
}

static void members_have_the_names_of_the_columns(void **state)
{
    (void)state;
    json_t *all = records_json(plain_record, NULL, 2);
    char *words = json_dumps(all, JSON_COMPACT);
    assert_string_equal(words, "[{\"ref\":\"C17\",\"zone\":\"hot around H3\",\"listed\":true,"
                               "\"in_fit\":false,\"parts\":73,\"none\":null},"
                               "{\"ref\":\"C17\",\"zone\":\"hot around H3\",\"listed\":true,"
                               "\"in_fit\":false,\"parts\":73,\"none\":null}]");
    free(words);
    json_decref(all);
}

static void blank_ends_record(const void *of, size_t row, record *into)
{
    (void)of, (void)row;
    record_words(into, "one", "C17 ");
    record_words(into, "other", " C18");
}

static void blanks_at_either_end_are_kept_by_quotes(void **state)
{
    (void)state;
    text made = {0};
    records_csv(blank_ends_record, NULL, 1, &made);
    assert_string_equal(made.bytes, "one,other\n\"C17 \",\" C18\"\n");
    text_clear(&made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_agree_with_printf),
        cmocka_unit_test(significant_digits_never_become_an_exponent),
        cmocka_unit_test(short_and_grouped_numbers_read_well),
        cmocka_unit_test(texts_come_back_whole_and_formulas_disarmed),
        cmocka_unit_test(plain_words_are_not_quoted),
        cmocka_unit_test(members_have_the_names_of_the_columns),
        cmocka_unit_test(blanks_at_either_end_are_kept_by_quotes),
    };
    return cmocka_run_group_tests_name("report csv", tests, NULL, NULL);
}
