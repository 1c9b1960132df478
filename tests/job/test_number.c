/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers as people and spreadsheets write them. */
#include "support/check.h"

#include <string.h>

#include "job/number.h"

#define assert_number(written, decimal_comma, expected)                                            \
    do {                                                                                           \
        struct number number = {0};                                                                \
        assert_int_equal(number_read(written, decimal_comma, &number), NUMBER_FINE);               \
        assert_close(number.value, expected, 0, 0);                                                \
    } while (0)

#define assert_no_number(written, decimal_comma, fault)                                            \
    do {                                                                                           \
        struct number number = {0};                                                                \
        assert_int_equal(number_read(written, decimal_comma, &number), fault);                     \
    } while (0)

static void a_number_is_read_to_the_last_bit(void **state)
{
    (void)state;
    assert_number("47", false, 47.0);
    assert_number("-12.75", false, -12.75);
    assert_number("+.375", false, 0.375);
    assert_number("83.", false, 83.0);
    assert_number("1.7976931348623157e308", false, 1.7976931348623157e308);
    assert_number("6.02214076E+23", false, 6.02214076e23);
    assert_number("0.1", false, 0.1);
}

static void a_decimal_comma_is_read_where_commas_do_not_part_cells(void **state)
{
    (void)state;
    assert_number("85,5", true, 85.5);
    assert_number("-0,0625", true, -0.0625);
    assert_no_number("85,5", false, NUMBER_COMMA);
}

static void a_point_and_a_comma_in_one_number_are_refused(void **state)
{
    (void)state;
    assert_no_number("1.234,5", true, NUMBER_MIXED);
    assert_no_number("1,234.5", true, NUMBER_MIXED);
    assert_no_number("1,234.5", false, NUMBER_MIXED);
}

/* Unicode names: U+2212 minus sign, U+00A0 no-break space, U+202F narrow no-break space. */
static void typographic_minus_and_thousands_spaces_are_read(void **state)
{
    (void)state;
    assert_number("\u221218.5", false, -18.5);
    assert_number("131\u00A0400", false, 131400.0);
    assert_number("2\u202F048\u202F576,25", true, 2048576.25);
}

static void a_space_that_parts_no_thousands_is_refused(void **state)
{
    (void)state;
    assert_no_number("13\u00A014", false, NUMBER_NONE);
    assert_no_number("13\u00A01400", false, NUMBER_NONE);
    assert_no_number("1 400", false, NUMBER_NONE);
    assert_no_number("\u00A0400", false, NUMBER_NONE);
}

/* What strtod of the C standard (C17 7.22.1.3) takes but a cell must not hold. */
static void words_and_hexadecimals_of_strtod_are_refused(void **state)
{
    (void)state;
    static const char *const refused[] = {"nan",   "NAN(7)", "inf", "-infinity", "0x1p3", "0x10",
                                          "",      "-",      ".",   "e5",        "12e",   "12.5 C",
                                          "1.2.3", "--4",    "4-",  "1e+",       "\uFF11"};
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++)
        assert_no_number(refused[i], false, NUMBER_NONE);
}

static void an_overflow_is_told_apart(void **state)
{
    (void)state;
    assert_no_number("1e999", false, NUMBER_LARGE);
    assert_no_number("-1e999", false, NUMBER_LARGE);
    assert_number("1e-999", false, 0.0);
}

static void a_number_of_absurd_length_is_refused(void **state)
{
    (void)state;
    char digits[4096];
    memset(digits, '7', sizeof digits - 1);
    digits[sizeof digits - 1] = '\0';
    assert_no_number(digits, false, NUMBER_NONE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_number_is_read_to_the_last_bit),
        cmocka_unit_test(a_decimal_comma_is_read_where_commas_do_not_part_cells),
        cmocka_unit_test(a_point_and_a_comma_in_one_number_are_refused),
        cmocka_unit_test(typographic_minus_and_thousands_spaces_are_read),
        cmocka_unit_test(a_space_that_parts_no_thousands_is_refused),
        cmocka_unit_test(words_and_hexadecimals_of_strtod_are_refused),
        cmocka_unit_test(an_overflow_is_told_apart),
        cmocka_unit_test(a_number_of_absurd_length_is_refused),
    };
    return cmocka_run_group_tests_name("job number", tests, NULL, NULL);
}
