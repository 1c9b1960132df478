/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A comparison in sentences: one and many, and what nothing was measured of. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "spotfield/compare.h"

static void assert_said(char *said, const char *expected)
{
    assert_non_null(said);
    if (!strstr(said, expected))
        print_error("%s\n", said);
    assert_non_null(strstr(said, expected));
    free(said);
}

static sf_comparison changed(size_t hotter, size_t cooler, size_t doubtful)
{
    return (sf_comparison){.part_count = hotter + cooler + doubtful,
                           .changes = {[SF_CHANGE_HOTTER] = hotter,
                                       [SF_CHANGE_COOLER] = cooler,
                                       [SF_CHANGE_DOUBTFUL] = doubtful},
                           .area_mm2 = 4000,
                           .hotter_mm2 = 1000,
                           .cooler_mm2 = 200,
                           .mean_change_k = -2.36};
}

static void changes_are_counted_in_the_number_they_have(void **state)
{
    (void)state;
    sf_comparison one = changed(1, 1, 7), many = changed(3, 2, 6), single = changed(0, 0, 1),
                  still = changed(0, 0, 8);
    assert_said(sf_comparison_sentence(&one),
                "1 of 9 parts runs hotter than before by more than the uncertainty, 1 runs cooler; "
                "the other 7 did not change measurably.");
    assert_said(sf_comparison_sentence(&many),
                "3 of 11 parts run hotter than before by more than the uncertainty, 2 run cooler;");
    assert_said(sf_comparison_sentence(&single), "The one part did not change measurably.");
    assert_said(sf_comparison_sentence(&still), "None of the 8 parts changed measurably.");
    assert_said(sf_comparison_sentence(&one),
                "changed by -2.4 K on average; 25 % of it runs "
                "hotter and 5 % cooler by more than the uncertainty.");
    one.mean_change_k = -0.04;
    assert_said(sf_comparison_sentence(&one), "changed by +0.0 K on average");
}

/* Heat and meter as they met, the interval left out. */
static sf_agreement met(size_t worn_found, size_t worn_missed, size_t fine_spared,
                        size_t fine_condemned)
{
    sf_agreement made = {.agree = worn_found + fine_spared, .low = 0.2, .high = 0.9};
    made.counts[SF_REPLACE][SF_METER_WORN] = worn_found;
    made.counts[SF_LEAVE][SF_METER_WORN] = worn_missed;
    made.counts[SF_LEAVE][SF_METER_FINE] = fine_spared;
    made.counts[SF_REPLACE][SF_METER_FINE] = fine_condemned;
    made.decided = worn_found + worn_missed + fine_spared + fine_condemned;
    return made;
}

static void what_the_meter_never_found_is_said(void **state)
{
    (void)state;
    sf_agreement fine_only = met(0, 0, 4, 1), worn_only = met(3, 2, 0, 0);
    assert_said(sf_agreement_sentence(&fine_only), "found none of them worn, so there is no way to "
                                                   "tell whether heat misses worn parts. Of the 5 "
                                                   "it found fine, heat had said \"leave\" for 4.");
    assert_said(
        sf_agreement_sentence(&worn_only),
        "Of the 5 the meter found worn, heat had said \"replace\" for 3. It found none of them "
        "fine, so there is no way to tell whether heat condemns fine parts.");
    char *said = sf_agreement_sentence(&worn_only);
    assert_null(strstr(said, "more"));
    free(said);
}

static void what_was_measured_and_not_decided_is_said(void **state)
{
    (void)state;
    sf_agreement some = met(2, 0, 3, 0);
    some.counts[SF_CHECK][SF_METER_FINE] = 2;
    some.pulled = 3;
    assert_said(sf_agreement_sentence(&some), "2 more were measured but not decided by both");
    assert_said(sf_agreement_sentence(&some), "3 of the 7 measured were pulled");
    sf_agreement none = {.low = NAN, .high = NAN};
    none.counts[SF_CHECK][SF_METER_WORN] = 1;
    assert_said(sf_agreement_sentence(&none),
                "No part was decided by both heat and meter. 1 more was");
}

static void words_beyond_the_list_are_empty(void **state)
{
    (void)state;
    assert_string_equal(sf_change_text(SF_CHANGE_COOLER), "cooler");
    assert_string_equal(sf_change_text(SF_CHANGE_COUNT), "");
    assert_string_equal(sf_change_text((sf_change)-1), "");
    assert_string_equal(sf_meter_finding_text(SF_METER_UNDECIDED), "undecided");
    assert_string_equal(sf_meter_finding_text(SF_METER_COUNT), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(changes_are_counted_in_the_number_they_have),
        cmocka_unit_test(what_the_meter_never_found_is_said),
        cmocka_unit_test(what_was_measured_and_not_decided_is_said),
        cmocka_unit_test(words_beyond_the_list_are_empty),
    };
    return cmocka_run_group_tests_name("compare words", tests, NULL, NULL);
}
