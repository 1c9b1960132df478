/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How heat and meter agree on what was pulled between two surveys. */
#include "support/check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/visits.h"

static void pulled_is_what_the_second_survey_has_younger_fresher_or_not_at_all(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.parts[0].year = 2020;
    after.parts[1].hours = 300;
    after.parts[2].ref = "gone";
    after.parts[3].year = 2009; /* the board's year: no other part */
    sf_comparison *found = compare_quietly(&before, &after);
    assert_true(found->parts[0].pulled && found->parts[1].pulled && found->parts[2].pulled);
    assert_false(found->parts[3].pulled || found->parts[4].pulled);
    sf_comparison_free(found);
}

static void what_is_younger_than_an_unknown_year_is_not_told_to_be_pulled(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    before.job.board.made_year = after.job.board.made_year = 0;
    after.parts[0].year = 2020;
    sf_comparison *found = compare_quietly(&before, &after);
    assert_false(found->parts[0].pulled);
    sf_comparison_free(found);
}

static void a_reading_of_the_new_part_is_not_that_of_the_old(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.parts[0].measured_uf = 30; /* 47 uF marked: worn, and the same part */
    after.parts[1].measured_uf = 30; /* another part by then */
    after.parts[1].year = 2020;
    before.parts[2].measured_uf = 46.2;
    after.parts[2].measured_uf = 30; /* read again later: the first survey's holds */
    sf_comparison *found = compare_quietly(&before, &after);
    assert_int_equal(found->parts[0].meter, SF_METER_WORN);
    assert_int_equal(found->parts[1].meter, SF_METER_NOTHING);
    assert_int_equal(found->parts[2].meter, SF_METER_FINE);
    assert_close(found->parts[2].reading_pct, 100 * (46.2 / 47 - 1), 1e-12, 0);
    sf_comparison_free(found);
}

static void heat_has_its_say_without_meter_eye_or_criticality(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    before.job.board.run_hours = 1500; /* nothing is worn by heat */
    before.parts[0].measured_uf = 20;
    before.parts[1].condition = SF_CONDITION_BULGED;
    before.parts[2].critical = true;
    before.job.board.made_year = 1985;
    sf_comparison *found = compare_quietly(&before, &after);
    for (size_t i = 0; i < PARTS; i++)
        assert_int_equal(found->parts[i].heat, SF_LEAVE);
    assert_int_equal(found->agreement.counts[SF_LEAVE][SF_METER_WORN], 1);
    /* bulged, but not measured: no word of the meter */
    assert_int_equal(found->parts[1].meter, SF_METER_NOTHING);
    sf_comparison_free(found);
}

/* C3 beside the source has used its life; the meter finds it worn, C1 and C5 fine, C2 worn though
 * heat left it, C4 near its limit of ESR. */
static sf_comparison *compare_measured(void)
{
    static visit before, after;
    visit_set(&before);
    visit_set(&after);
    before.job.board.run_hours = 60000;
    before.parts[2].rated_c = 85;
    for (size_t i = 0; i < PARTS; i++)
        if (i != 2)
            before.parts[i].endurance_h = 10000;
    static const double read_uf[PARTS] = {48, 31, 29, 47, 45};
    for (size_t i = 0; i < PARTS; i++)
        before.parts[i].measured_uf = read_uf[i];
    before.parts[3].esr_limit_ohm = 1.1;
    before.parts[3].measured_esr_ohm = 1.3;
    after.parts[2].year = 2021;
    return compare_quietly(&before, &after);
}

static void the_table_counts_heat_against_meter(void **state)
{
    (void)state;
    sf_comparison *found = compare_measured();
    const sf_agreement *table = &found->agreement;
    assert_int_equal(table->counts[SF_REPLACE][SF_METER_WORN], 1);
    assert_int_equal(table->counts[SF_LEAVE][SF_METER_WORN], 1);
    assert_int_equal(table->counts[SF_LEAVE][SF_METER_FINE], 2);
    assert_int_equal(table->counts[SF_LEAVE][SF_METER_UNDECIDED], 1);
    assert_int_equal(table->decided, 4);
    assert_int_equal(table->agree, 3);
    assert_int_equal(table->pulled, 1);
    /* 3 of 4: the binomial tails again, GSL's distribution */
    assert_close(gsl_cdf_binomial_Q(2, table->low, 4), 0.025, 1e-8, 0);
    assert_close(gsl_cdf_binomial_P(3, table->high, 4), 0.025, 1e-8, 0);
    sf_comparison_free(found);
}

static void the_sentence_tells_both_rates_in_plain_words(void **state)
{
    (void)state;
    sf_comparison *found = compare_measured();
    char *said = sf_agreement_sentence(&found->agreement);
    assert_non_null(strstr(said, "3 of 4 parts"));
    assert_non_null(strstr(said, "75 %"));
    assert_non_null(
        strstr(said, "Of the 2 the meter found worn, heat had said \"replace\" for 1."));
    assert_non_null(strstr(said, "Of the 2 it found fine, heat had said \"leave\" for 2."));
    assert_non_null(strstr(said, "1 more was measured but not decided by both"));
    assert_non_null(strstr(said, "1 of the 5 measured was pulled"));
    free(said);
    sf_comparison_free(found);
}

static void nothing_measured_is_said(void **state)
{
    (void)state;
    sf_agreement none = {.low = NAN, .high = NAN};
    char *said = sf_agreement_sentence(&none);
    assert_non_null(strstr(said, "cannot be compared"));
    free(said);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pulled_is_what_the_second_survey_has_younger_fresher_or_not_at_all),
        cmocka_unit_test(what_is_younger_than_an_unknown_year_is_not_told_to_be_pulled),
        cmocka_unit_test(a_reading_of_the_new_part_is_not_that_of_the_old),
        cmocka_unit_test(heat_has_its_say_without_meter_eye_or_criticality),
        cmocka_unit_test(the_table_counts_heat_against_meter),
        cmocka_unit_test(the_sentence_tells_both_rates_in_plain_words),
        cmocka_unit_test(nothing_measured_is_said),
    };
    return cmocka_run_group_tests_name("heat and meter", tests, NULL, NULL);
}
