/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers as they are told. */
#include "support/check.h"

#include <stdlib.h>

#include "life/owner_words.h"

typedef void (*teller)(text *into, double number);

static void check_words(teller tells, double number, const char *expected)
{
    text made = {0};
    tells(&made, number);
    char *words = text_take(&made);
    assert_string_equal(words, expected);
    free(words);
}

static void hours_of_life_are_told_to_three_figures_or_a_hundred(void **state)
{
    (void)state;
    check_words(add_hours, 0, "0 h");
    check_words(add_hours, 7.4, "7 h");
    check_words(add_hours, 1973, "1,970 h");
    check_words(add_hours, 18149, "18,100 h");
    check_words(add_hours, 131400, "131,400 h");
}

static void shares_are_told_as_percent(void **state)
{
    (void)state;
    check_words(add_percent, 0.0009, "under 0.1 %");
    check_words(add_percent, 0.0047, "0.47 %");
    check_words(add_percent, 0.0947, "9.5 %");
    check_words(add_percent, 0.0996, "10 %");
    check_words(add_percent, 1.334, "133 %");
    check_words(add_percent, 123.4, "12,340 %");
    text range = {0};
    add_percent_range(&range, 0.0512, 1.679);
    assert_string_equal(range.bytes, "5.1 to 168 %");
    text_clear(&range);
}

static void deviations_carry_their_sign(void **state)
{
    (void)state;
    check_words(add_deviation, 3.58, "+3.6 %");
    check_words(add_deviation, -33.62, "-33.6 %");
}

static void quantities_are_as_short_as_they_can_be(void **state)
{
    (void)state;
    check_words(add_quantity, 52.05, "52.05");
    check_words(add_quantity, 0.33, "0.33");
    check_words(add_quantity, 4700, "4,700");
    check_words(add_quantity, 1234.56, "1,235");
    check_words(add_quantity, 0.012345, "0.0123");
    check_words(add_quantity, 22000, "22,000");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hours_of_life_are_told_to_three_figures_or_a_hundred),
        cmocka_unit_test(shares_are_told_as_percent),
        cmocka_unit_test(deviations_carry_their_sign),
        cmocka_unit_test(quantities_are_as_short_as_they_can_be),
    };
    return cmocka_run_group_tests_name("words", tests, NULL, NULL);
}
