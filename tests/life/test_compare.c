/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Two surveys of one made-up board: what changed, and what cannot be compared. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "life/visits.h"

static void the_same_survey_twice_shows_no_change(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    sf_comparison *found = compare_quietly(&before, &after);
    assert_int_equal(found->changes[SF_CHANGE_DOUBTFUL], PARTS);
    assert_close(found->mean_change_k, 0, 0, 1e-9);
    assert_close(found->hotter_mm2 + found->cooler_mm2, 0, 0, 0);
    assert_close(found->area_mm2, 120 * 80, 0.02, 0);
    sf_comparison_free(found);
}

static void without_shared_errors_a_change_has_both_doubts_in_quadrature(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.seen[4].rise_k = 53.5;
    after.job.policy.shared_pct = 0; /* the smaller of both counts */
    sf_comparison *found = compare_quietly(&before, &after);
    for (size_t i = 0; i < found->part_count; i++) {
        const sf_part_change *part = &found->parts[i];
        assert_close(part->change_k.value, part->rise_after_k.value - part->rise_before_k.value, 0,
                     1e-12);
        /* law of propagation for independent inputs, JCGM 100:2008, 5.1.2 */
        assert_close(part->change_k.sd * part->change_k.sd,
                     part->rise_after_k.sd * part->rise_after_k.sd +
                         part->rise_before_k.sd * part->rise_before_k.sd,
                     1e-12, 0);
    }
    assert_int_equal(found->parts[2].change, SF_CHANGE_HOTTER);
    assert_int_equal(found->parts[0].change, SF_CHANGE_DOUBTFUL);
    assert_true(found->hotter_mm2 > 0 && found->hotter_mm2 < found->area_mm2);
    double sum_k = 0, cells = 0;
    for (size_t cell = 0; cell < found->grid.columns * found->grid.rows; cell++)
        if (found->grid.inside[cell]) {
            sum_k += found->change_k[cell];
            cells++;
        }
    assert_close(found->mean_change_k, sum_k / cells, 1e-9, 0);
    sf_comparison_free(found);
}

/* Change of a part between two surveys, and how the readings move its place in each. */
static sf_part_change change_of(visit *before, visit *after, size_t part,
                                sf_reading_share shares[2])
{
    sf_diagnostics diagnostics = {0};
    sf_comparison *found = NULL;
    visit_fit(before);
    visit_fit(after);
    sf_survey first = visit_survey(before), second = visit_survey(after);
    assert_int_equal(sf_surveys_compare(&first, &second, &found, &diagnostics), SF_OK);
    sf_part_change change = found->parts[part];
    double x_mm = before->parts[part].x_mm, y_mm = before->parts[part].y_mm;
    shares[0] = sf_field_reading_share(before->field, x_mm, y_mm);
    shares[1] = sf_field_reading_share(after->field, x_mm, y_mm);
    sf_comparison_free(found);
    sf_field_free(before->field);
    sf_field_free(after->field);
    sf_diagnostics_clear(&diagnostics);
    return change;
}

static void what_both_surveys_share_cancels_by_the_formula(void **state)
{
    (void)state;
    for (size_t part = 0; part < PARTS; part++) {
        visit before, after;
        visit_set(&before);
        visit_set(&after);
        after.seen[4].rise_k = 41.5;
        before.job.policy.shared_pct = 37;
        sf_reading_share told[2];
        sf_part_change change = change_of(&before, &after, part, told);
        double c = 0.37, before_k2 = pow(change.rise_before_k.sd, 2);
        double after_k2 = pow(change.rise_after_k.sd, 2);
        double apart_k2 = 0;
        for (int common = 0; common < SF_COMMON_COUNT; common++)
            apart_k2 += pow(told[1].common_shift_k[common] - told[0].common_shift_k[common], 2);
        assert_true(told[0].independent_k2 > 0 && told[0].independent_k2 < before_k2);
        /* JCGM 100:2008, 5.2.2: u^2(d) = u_b^2 + u_a^2 - 2 cov, here as sums of squares */
        assert_close(change.change_k.sd * change.change_k.sd,
                     before_k2 + after_k2 - c * (told[0].independent_k2 + told[1].independent_k2) +
                         c * apart_k2,
                     1e-9, 0);
    }
}

static void surveys_by_other_instruments_share_nothing(void **state)
{
    (void)state;
    visit before, after;
    sf_reading_share told[2];
    visit_set(&before);
    visit_set(&after);
    sf_part_change alike = change_of(&before, &after, 2, told);
    for (size_t i = 0; i < SEEN; i++) {
        double *common_k = after.seen[i].common_k;
        after.seen[i].method = SF_METHOD_INFRARED;
        common_k[SF_METHOD_INFRARED] = common_k[SF_METHOD_THERMOCOUPLE_K];
        common_k[SF_COMMON_EMISSIVITY] = common_k[SF_COMMON_BEAD];
        common_k[SF_METHOD_THERMOCOUPLE_K] = common_k[SF_COMMON_BEAD] = 0;
    }
    sf_part_change apart = change_of(&before, &after, 2, told);
    double independent_k = hypot(apart.rise_before_k.sd, apart.rise_after_k.sd);
    assert_close(told[1].common_shift_k[SF_METHOD_THERMOCOUPLE_K], 0, 0, 0);
    /* two common errors instead of independent ones: no smaller than in quadrature here, where
     * all weights are of one sign or nearly so */
    assert_true(apart.change_k.sd > 0.95 * independent_k);
    assert_true(alike.change_k.sd < independent_k && alike.change_k.sd < apart.change_k.sd);
}

/* Coverage factor 2 for about 95 %, JCGM 100:2008, 6.3.3. */
static void a_change_is_told_from_two_standard_deviations_on(void **state)
{
    (void)state;
    visit before, after;
    size_t between = 0;
    visit_set(&before);
    visit_set(&after);
    for (double rise_k = 27; rise_k < 45; rise_k += 0.9) {
        after.seen[4].rise_k = rise_k;
        sf_comparison *found = compare_quietly(&before, &after);
        const sf_part_change *part = &found->parts[2];
        double sds = part->change_k.value / part->change_k.sd;
        assert_int_equal(part->change, sds > 2 ? SF_CHANGE_HOTTER : SF_CHANGE_DOUBTFUL);
        between += sds > 1 && sds < 2;
        sf_comparison_free(found);
    }
    assert_true(between > 0);
}

/* A visit whose parts all stand where the source is not felt. */
static void set_apart(visit *on)
{
    visit_set(on);
    on->parts[2].x_mm = 9;
    on->parts[2].y_mm = 40;
    on->parts[3].x_mm = 40;
}

static void a_source_that_runs_hotter_is_an_alarm_though_no_part_does(void **state)
{
    (void)state;
    visit before, after;
    set_apart(&before);
    set_apart(&after);
    after.seen[4].rise_k += 9;
    after.seen[4].temp_c += 9;
    sf_comparison *found = compare_quietly(&before, &after);
    assert_int_equal(found->changes[SF_CHANGE_HOTTER], 0);
    assert_int_equal(found->source_count, 1);
    assert_string_equal(found->sources[0].ref, "H2");
    assert_int_equal(found->sources[0].change, SF_CHANGE_HOTTER);
    assert_true(found->sources[0].change_k.value > 6 && found->sources[0].change_k.value < 16);
    char *alarm = sf_comparison_alarm(found);
    const char *starts = "Hotter than before by more than the uncertainty: source H2 +";
    assert_memory_equal(alarm, starts, strlen(starts));
    assert_non_null(strstr(alarm, ", reading t +9.0 K. No capacitor notices it yet"));
    free(alarm);
    sf_comparison_free(found);
    found = compare_quietly(&after, &before); /* what cooled is no alarm */
    assert_int_equal(found->sources[0].change, SF_CHANGE_COOLER);
    alarm = sf_comparison_alarm(found);
    assert_string_equal(alarm, "");
    free(alarm);
    sf_comparison_free(found);
}

static void readings_are_compared_with_their_own_doubt(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    before.job.policy.position_sd_mm = 0; /* leaves the errors of the readings */
    after.seen[0].rise_k += 2.5;
    sf_comparison *found = compare_quietly(&before, &after);
    const sf_heat_change *of = &found->readings[0]; /* the largest change first */
    assert_int_equal(found->reading_count, SEEN);
    assert_close(of->change_k.value, 2.5, 1e-12, 0);
    /* JCGM 100:2008, 5.2.2: u^2(d) = u_b^2 + u_a^2 - 2 cov, cov half of the common errors'
     * products: 2 * 0.64 - (0.5^2 + 0.1^2 + 0.3^2), computed */
    assert_close(of->change_k.sd * of->change_k.sd, 0.93, 1e-9, 0);
    assert_int_equal(of->change, SF_CHANGE_HOTTER);
    sf_comparison_free(found);
    before.job.policy.position_sd_mm = 1; /* the ruler errs besides, each time */
    found = compare_quietly(&before, &after);
    assert_true(found->readings[0].change_k.sd > sqrt(0.93));
    sf_comparison_free(found);
}

static void what_only_one_survey_has_is_no_change(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.source.ref = "H7";
    after.seen[0].id = "u";
    after.seen[1].x_mm += 6; /* another spot */
    after.seen[2].spot = SF_SPOT_PART;
    sf_comparison *found = compare_quietly(&before, &after);
    assert_int_equal(found->source_count, 0);
    assert_int_equal(found->reading_count, SEEN - 3);
    sf_comparison_free(found);
}

static void going_back_turns_every_change_around(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.seen[4].rise_k = 41.5;
    sf_comparison *there = compare_quietly(&before, &after);
    sf_comparison *back = compare_quietly(&after, &before);
    for (size_t i = 0; i < there->part_count; i++) {
        assert_close(there->parts[i].change_k.value, -back->parts[i].change_k.value, 0, 1e-9);
        assert_close(there->parts[i].change_k.sd, back->parts[i].change_k.sd, 1e-9, 0);
    }
    assert_close(there->hotter_mm2, back->cooler_mm2, 1e-9, 0);
    assert_close(there->mean_change_k, -back->mean_change_k, 0, 1e-6);
    sf_comparison_free(there);
    sf_comparison_free(back);
}

static void another_air_is_no_change_of_the_rise(void **state)
{
    (void)state;
    visit before, after;
    visit_set(&before);
    visit_set(&after);
    after.job.board.service_ambient_c = 37.25;
    sf_comparison *found = compare_quietly(&before, &after);
    assert_int_equal(found->changes[SF_CHANGE_DOUBTFUL], PARTS);
    assert_close(found->parts[1].temp_after_c - found->parts[1].temp_before_c, 14.25, 1e-9, 0);
    sf_comparison_free(found);
}

static void boards_of_other_sizes_are_refused(void **state)
{
    (void)state;
    visit before, after;
    sf_diagnostics diagnostics = {0};
    visit_set(&before);
    visit_set(&after);
    after.job.board.width_mm = 123.5;
    assert_null(compare(&before, &after, &diagnostics));
    assert_int_equal(diagnostics.error_count, 1);
    assert_non_null(strstr(diagnostics.items[0].what, "120 x 80 mm before, 123.5 x 80 mm after"));
    sf_diagnostics_clear(&diagnostics);
}

static void boards_of_another_height_are_refused_too(void **state)
{
    (void)state;
    visit before, after;
    sf_diagnostics diagnostics = {0};
    visit_set(&before);
    visit_set(&after);
    after.job.board.height_mm = 77.75;
    assert_null(compare(&before, &after, &diagnostics));
    assert_int_equal(diagnostics.error_count, 1);
    sf_diagnostics_clear(&diagnostics);
}

static bool is_told(const sf_diagnostics *diagnostics, const char *words)
{
    for (size_t i = 0; i < diagnostics->count; i++)
        if (strstr(diagnostics->items[i].what, words))
            return true;
    return false;
}

/* Ends the board of a visit at a line across it. */
static void cut_off(visit *on, double from_x_mm, double to_x_mm)
{
    on->corners[0].x_mm = on->corners[3].x_mm = from_x_mm;
    on->corners[1].x_mm = on->corners[2].x_mm = to_x_mm;
}

static void what_is_not_board_in_both_is_not_compared(void **state)
{
    (void)state;
    visit before, after;
    sf_diagnostics diagnostics = {0};
    visit_set(&before);
    visit_set(&after);
    cut_off(&after, 0, 91);
    sf_comparison *found = compare(&before, &after, &diagnostics);
    assert_close(found->area_mm2, 91 * 80, 0.03, 0);
    assert_true(is_told(&diagnostics, "more than 5 % of the first survey's board lies outside"));
    sf_comparison_free(found);
    sf_diagnostics_clear(&diagnostics);
    cut_off(&after, 0, 117); /* 2.5 % */
    found = compare(&before, &after, &diagnostics);
    assert_false(is_told(&diagnostics, "lies outside"));
    sf_comparison_free(found);
    sf_diagnostics_clear(&diagnostics);
    cut_off(&before, 0, 50);
    cut_off(&after, 60, 120);
    assert_null(compare(&before, &after, &diagnostics));
    assert_true(is_told(&diagnostics, "no place is board in both surveys"));
    sf_diagnostics_clear(&diagnostics);
}

static void many_parts_of_one_survey_are_told_by_the_first_of_them(void **state)
{
    (void)state;
    enum { MANY = 11 };
    visit before, after;
    static sf_part parts[MANY];
    static char refs[MANY][8];
    sf_diagnostics diagnostics = {0};
    visit_set(&before);
    visit_set(&after);
    for (size_t i = 0; i < MANY; i++) {
        snprintf(refs[i], sizeof refs[i], "K%zu", i);
        parts[i] = plain_part(refs[i]);
    }
    after.job.parts = parts;
    after.job.part_count = MANY;
    sf_comparison *found = compare(&before, &after, &diagnostics);
    assert_true(
        is_told(&diagnostics, "11 parts in the second survey only: K0 K1 K2 K3 K4 K5 K6 K7 ..."));
    sf_comparison_free(found);
    sf_diagnostics_clear(&diagnostics);
}

static void parts_of_one_survey_and_moved_ones_are_told(void **state)
{
    (void)state;
    visit before, after;
    sf_diagnostics diagnostics = {0};
    visit_set(&before);
    visit_set(&after);
    after.parts[1].ref = "C9";
    after.parts[3].x_mm -= 5.5;
    sf_comparison *found = compare(&before, &after, &diagnostics);
    assert_int_equal(found->part_count, PARTS + 1);
    assert_int_equal(found->changes[SF_CHANGE_UNKNOWN], 2);
    assert_int_equal(diagnostics.error_count, 0);
    assert_true(is_told(&diagnostics, "1 part in the first survey only: C2"));
    assert_true(is_told(&diagnostics, "1 part in the second survey only: C9"));
    assert_true(is_told(&diagnostics, "more than 5 mm away from the first survey's place: C4"));
    assert_true(isnan(found->parts[1].change_k.value));
    sf_comparison_free(found);
    sf_diagnostics_clear(&diagnostics);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_survey_twice_shows_no_change),
        cmocka_unit_test(without_shared_errors_a_change_has_both_doubts_in_quadrature),
        cmocka_unit_test(what_both_surveys_share_cancels_by_the_formula),
        cmocka_unit_test(surveys_by_other_instruments_share_nothing),
        cmocka_unit_test(a_change_is_told_from_two_standard_deviations_on),
        cmocka_unit_test(going_back_turns_every_change_around),
        cmocka_unit_test(a_source_that_runs_hotter_is_an_alarm_though_no_part_does),
        cmocka_unit_test(readings_are_compared_with_their_own_doubt),
        cmocka_unit_test(what_only_one_survey_has_is_no_change),
        cmocka_unit_test(another_air_is_no_change_of_the_rise),
        cmocka_unit_test(boards_of_other_sizes_are_refused),
        cmocka_unit_test(boards_of_another_height_are_refused_too),
        cmocka_unit_test(what_is_not_board_in_both_is_not_compared),
        cmocka_unit_test(many_parts_of_one_survey_are_told_by_the_first_of_them),
        cmocka_unit_test(parts_of_one_survey_and_moved_ones_are_told),
    };
    return cmocka_run_group_tests_name("compare", tests, NULL, NULL);
}
