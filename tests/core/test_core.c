/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Status words, diagnostics, growing text, and points against outlines. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "core/text.h"
#include "spotfield/diagnostic.h"

static void every_status_has_words(void **state)
{
    (void)state;
    for (int status = 0; status < SF_STATUS_COUNT; status++)
        assert_true(strlen(sf_status_text((sf_status)status)) > 3);
    assert_string_equal(sf_status_text((sf_status)-1), "unknown status");
    assert_string_equal(sf_status_text(SF_STATUS_COUNT), "unknown status");
}

static void a_complaint_reads_file_line_column_what_expected(void **state)
{
    (void)state;
    sf_diagnostics list = {0};
    assert_int_equal(sf_diagnose(&list, SF_ERROR, "parts.csv", 7, "x_mm", "\"abc\" is not a number",
                                 "millimetres"),
                     SF_OK);
    assert_int_equal(sf_diagnose(&list, SF_WARNING, "board.csv", 0, NULL, "is empty", NULL), SF_OK);
    char *first = sf_diagnostic_text(&list.items[0]);
    char *second = sf_diagnostic_text(&list.items[1]);
    assert_string_equal(first, "parts.csv:7: x_mm: \"abc\" is not a number, expected millimetres");
    assert_string_equal(second, "board.csv: warning: is empty");
    free(first);
    free(second);
    sf_diagnostics_clear(&list);
    assert_int_equal(list.count, 0);
}

static void complaints_beyond_the_limit_are_counted_not_kept(void **state)
{
    (void)state;
    sf_diagnostics list = {0};
    for (int i = 0; i < SF_DIAGNOSTICS_KEPT + 37; i++)
        assert_int_equal(sf_diagnose(&list, SF_ERROR, "a.csv", 1, "b", "c", "d"), SF_OK);
    assert_int_equal(list.count, SF_DIAGNOSTICS_KEPT);
    assert_int_equal(list.error_count, SF_DIAGNOSTICS_KEPT + 37);
    sf_diagnostics_clear(&list);
}

static void an_error_takes_the_place_of_the_last_warning(void **state)
{
    (void)state;
    sf_diagnostics list = {0};
    sf_diagnose(&list, SF_WARNING, "a.csv", 3, "", "first", "");
    for (size_t i = 2; i < SF_DIAGNOSTICS_KEPT; i++)
        sf_diagnose(&list, SF_ERROR, "a.csv", 5, "", "between", "");
    sf_diagnose(&list, SF_WARNING, "a.csv", 7, "", "last to be kept", "");
    sf_diagnose(&list, SF_WARNING, "a.csv", 11, "", "one too many", "");
    assert_int_equal(sf_diagnose(&list, SF_ERROR, "a.csv", 13, "", "late", ""), SF_OK);
    assert_int_equal(list.count, SF_DIAGNOSTICS_KEPT);
    assert_string_equal(list.items[0].what, "first");
    assert_string_equal(list.items[list.count - 1].what, "late");
    assert_int_equal(sf_diagnose(&list, SF_ERROR, "a.csv", 17, "", "later", ""), SF_OK);
    assert_string_equal(list.items[0].what, "between");
    assert_string_equal(list.items[list.count - 1].what, "later");
    assert_int_equal(sf_diagnose(&list, SF_ERROR, "a.csv", 19, "", "too late", ""), SF_OK);
    assert_string_equal(list.items[list.count - 1].what, "later");
    assert_int_equal(list.warning_count, 3);
    assert_int_equal(list.error_count, SF_DIAGNOSTICS_KEPT + 1);
    sf_diagnostics_clear(&list);
}

static void an_array_too_large_for_memory_is_refused(void **state)
{
    (void)state;
    assert_null(array_new(SIZE_MAX / 2, 3));
    size_t capacity = 2;
    assert_null(array_grow(NULL, &capacity, SIZE_MAX / 2, 16));
    assert_int_equal(capacity, 2);
}

static void an_element_more_is_counted_and_zero(void **state)
{
    (void)state;
    int *numbers = NULL;
    size_t count = 0, capacity = 0;
    for (int i = 0; i < 64; i++) {
        int *added = array_add(&numbers, &count, &capacity, sizeof *numbers);
        assert_non_null(added);
        assert_int_equal(*added, 0);
        *added = i;
    }
    assert_int_equal(count, 64);
    for (int i = 0; i < 64; i++)
        assert_int_equal(numbers[i], i);
    const int *before = numbers;
    assert_null(array_add(&numbers, &count, &capacity, SIZE_MAX / 2));
    assert_int_equal(count, 64);
    assert_ptr_equal(numbers, before);
    free(numbers);
}

static void text_grows_piece_by_piece(void **state)
{
    (void)state;
    text made = {0};
    for (int i = 0; i < 300; i++)
        text_addf(&made, "%d,", i);
    text_add(&made, "end");
    char *taken = text_take(&made);
    assert_int_equal(strlen(taken), 10 * 2 + 90 * 3 + 200 * 4 + 3);
    assert_int_equal(strncmp(taken, "0,1,2,3,", 8), 0);
    free(taken);
    assert_null(made.bytes);
}

/* An L of 30 x 20 mm with its upper right 18 x 9 mm away, and a slot of 2 x 6 mm. */
static sf_point corners[] = {{0, 0}, {30, 0}, {30, 11}, {12, 11}, {12, 20}, {0, 20}};
static sf_point slot[] = {{5, 3}, {7, 3}, {7, 9}, {5, 9}};
static const sf_ring rings[] = {{0, corners, 6, ""}, {1, slot, 4, ""}};

static void assert_cell(const char *words, const char *separators, bool guarded,
                        const char *expected)
{
    text made = {0};
    text_add_cell(&made, words, separators, guarded);
    assert_string_equal(made.bytes, expected);
    text_clear(&made);
}

/* RFC 4180, section 2, rules 5 to 7; OWASP, CSV Injection. */
static void a_cell_of_csv_is_quoted_where_the_format_asks_for_it(void **state)
{
    (void)state;
    assert_cell("by R7, warm", ";", false, "by R7, warm");
    assert_cell("by R7, warm", ",", false, "\"by R7, warm\"");
    assert_cell("the \"old\" one", ",", false, "\"the \"\"old\"\" one\"");
    assert_cell("two\nlines", ",", false, "\"two\nlines\"");
    assert_cell("warm ", ",", false, "\"warm \"");
    assert_cell("#4", ",", false, "\"#4\"");
    assert_cell("=A1", ",", true, "'=A1");
    assert_cell("", ",", false, "");
}

static void a_point_is_board_inside_the_edge_and_outside_cut_outs(void **state)
{
    (void)state;
    assert_true(board_contains(rings, 2, 2.3, 17.1));
    assert_false(board_contains(rings, 2, 13.7, 12.9));
    assert_false(board_contains(rings, 2, 6.1, 4.2));
    assert_false(board_contains(rings, 2, -0.1, 4.2));
    assert_close(board_distance(rings, 2, 16.5, 13.25), 2.25, 1e-12, 0);
    assert_close(board_distance(rings, 2, 6.25, 5), 0.75, 1e-12, 0);
    assert_close(board_distance(rings, 2, 33, 15), 5, 1e-12, 0);
    assert_close(board_distance(rings, 2, 8, 5), 0, 0, 0);
}

static void the_area_of_a_ring_is_signed(void **state)
{
    (void)state;
    assert_close(ring_area(&rings[0]), 30 * 20 - 18 * 9, 1e-14, 0);
}

static void segments_meet_when_they_cross_or_touch(void **state)
{
    (void)state;
    sf_point a = {0, 0}, b = {10, 10}, c = {0, 9}, d = {9, 0}, e = {20, 20}, f = {3, 1};
    assert_true(segments_meet(a, b, c, d));
    assert_true(segments_meet(a, e, b, c));
    assert_false(segments_meet(a, b, f, d));
}

/* RFC 3629, section 7: "A", not identical to, Alpha; the syllable "han"; the ideograph U+233B4. */
static void a_character_has_the_number_that_unicode_gives_it(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        uint32_t code;
    } characters[] = {{"A", 0x41},
                      {"\xCE\x91", 0x391},
                      {"\xE2\x89\xA2", 0x2262},
                      {"\xED\x95\x9C", 0xD55C},
                      {"\xF0\xA3\x8E\xB4", 0x233B4}};
    for (size_t i = 0; i < sizeof characters / sizeof *characters; i++) {
        const unsigned char *at = (const unsigned char *)characters[i].bytes;
        size_t size = strlen(characters[i].bytes);
        assert_int_equal(utf8_length(at, at + size), size);
        assert_int_equal(utf8_code(at, size), characters[i].code);
        if (size > 1) /* cut short */
            assert_int_equal(utf8_length(at, at + size - 1), 0);
    }
}

/* RFC 3629, sections 3 and 10: overlong forms, halves of a pair, numbers above U+10FFFF. */
static void bytes_that_are_no_character_have_no_length(void **state)
{
    (void)state;
    static const char *const others[] = {"\xC0\x80",         "\xC1\xBF",         "\x80",
                                         "\xE0\x9F\xBF",     "\xED\xA0\x80",     "\xF0\x8F\xBF\xBF",
                                         "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xCE\x41"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        const unsigned char *at = (const unsigned char *)others[i];
        assert_int_equal(utf8_length(at, at + strlen(others[i])), 0);
    }
}

/* By hand: from (0, 0) the farthest is (90, 0), then (40, 30), 50 and 58 from them; (36, 30) is 47
 * and 62.
 */
static void points_are_chosen_far_from_one_another(void **state)
{
    (void)state;
    const sf_point points[] = {{36, 30}, {0, 0}, {40, 30}, {90, 0}, {0, 0}, {5, 0}};
    size_t chosen[6], count;
    assert_int_equal(points_spread(points, 6, 1, 3, chosen, &count), SF_OK);
    assert_int_equal(count, 3);
    assert_int_equal(chosen[0], 1);
    assert_int_equal(chosen[1], 2);
    assert_int_equal(chosen[2], 3);
    /* all but the second of two in one place */
    assert_int_equal(points_spread(points, 6, 1, 6, chosen, &count), SF_OK);
    assert_int_equal(count, 5);
    assert_int_equal(chosen[4], 5);
    assert_int_equal(points_spread(points, 0, 0, 3, chosen, &count), SF_OK);
    assert_int_equal(count, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(points_are_chosen_far_from_one_another),
        cmocka_unit_test(a_character_has_the_number_that_unicode_gives_it),
        cmocka_unit_test(bytes_that_are_no_character_have_no_length),
        cmocka_unit_test(every_status_has_words),
        cmocka_unit_test(a_complaint_reads_file_line_column_what_expected),
        cmocka_unit_test(complaints_beyond_the_limit_are_counted_not_kept),
        cmocka_unit_test(an_error_takes_the_place_of_the_last_warning),
        cmocka_unit_test(an_array_too_large_for_memory_is_refused),
        cmocka_unit_test(an_element_more_is_counted_and_zero),
        cmocka_unit_test(text_grows_piece_by_piece),
        cmocka_unit_test(a_cell_of_csv_is_quoted_where_the_format_asks_for_it),
        cmocka_unit_test(a_point_is_board_inside_the_edge_and_outside_cut_outs),
        cmocka_unit_test(the_area_of_a_ring_is_signed),
        cmocka_unit_test(segments_meet_when_they_cross_or_touch),
    };
    return cmocka_run_group_tests_name("core", tests, NULL, NULL);
}
