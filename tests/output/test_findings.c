/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is to be looked at first: each finding by what makes it, and silence without. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/sample.h"

/* A sample with nothing to find: every reading fits, nothing unlisted, no disagreement. */
static sf_outcome *calm_outcome(size_t readings)
{
    sf_outcome *outcome = sample_outcome(3, readings);
    sf_field *field = outcome->field;
    sample_job(outcome)->keepout_told = true;
    sample_job(outcome)->board.hours_per_year = 270; /* by which it would have run what it ran */
    for (size_t i = 0; i < field->reading_count; i++) {
        field->readings[i].score = field->readings[i].alone = 0.4;
        field->readings[i].gross = 0.01;
    }
    for (size_t i = 0; i < field->source_count; i++) {
        field->sources[i].listed = true;
        field->sources[i].contradiction = false;
        field->sources[i].power_score = 0.3;
    }
    field->summary.noise_factor = 1.1;
    for (size_t i = 0; i < outcome->reference_count; i++)
        outcome->references[i].rmse_k = NAN;
    for (size_t i = 0; i < 3; i++) {
        outcome->results[i].worn_by_evidence = false;
        outcome->results[i].reading_pct = NAN;
    }
    return outcome;
}

/* Whether some finding of the section begins so; "" is none at all. */
static void check_found(const sf_outcome *outcome, const char *section, const char *begins)
{
    sf_finding *findings;
    size_t count;
    bool found = false;
    assert_int_equal(sf_outcome_findings(outcome, &findings, &count), SF_OK);
    for (size_t i = 0; i < count; i++)
        found = found || (strncmp(findings[i].words, begins, strlen(begins)) == 0 &&
                          strcmp(findings[i].section, section) == 0);
    if (begins[0] == '\0')
        assert_int_equal(count, 0);
    else if (!found)
        fail_msg("not found: %s (%zu others, first %s)", begins, count,
                 count > 0 ? findings[0].words : "none");
    sf_findings_free(findings, count);
}

/* What the first finding that begins so is foremost about; the name NULL and the place NAN where it
 * is about no one thing. */
static void check_target(const sf_outcome *outcome, const char *begins, const char *ref,
                         double x_mm, double y_mm)
{
    sf_finding *findings;
    size_t count, at = 0;
    assert_int_equal(sf_outcome_findings(outcome, &findings, &count), SF_OK);
    while (at < count && strncmp(findings[at].words, begins, strlen(begins)) != 0)
        at++;
    assert_true(at < count);
    assert_int_equal(findings[at].ref == NULL, ref == NULL);
    if (ref)
        assert_string_equal(findings[at].ref, ref);
    assert_int_equal(isnan(findings[at].x_mm), isnan(x_mm));
    if (!isnan(x_mm)) {
        assert_close(findings[at].x_mm, x_mm, 1e-9, 0);
        assert_close(findings[at].y_mm, y_mm, 1e-9, 0);
    }
    sf_findings_free(findings, count);
}

static const char *id_of(const sf_outcome *outcome, size_t fit)
{
    return outcome->observations[outcome->field->readings[fit].observation].id;
}

static void check_named(const sf_outcome *outcome, const char *before, size_t fit,
                        const char *after)
{
    char words[300];
    snprintf(words, sizeof words, "%s%s%s", before, id_of(outcome, fit), after);
    check_found(outcome, "readings", words);
}

static void a_calm_board_has_nothing_to_look_at(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(9);
    check_found(outcome, "", "");
    sample_free(outcome);
}

static void readings_are_named_by_what_is_wrong_with_them(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(9);
    sf_reading_fit *fit = &outcome->field->readings[2];
    *fit = (sf_reading_fit){fit->observation, fit->fitted_k, fit->left_out_k, -6, -6, 0.99, NULL};
    check_named(outcome, "Reading ", 2, " is taken to be wrong and has no weight: read it again");
    fit->score = 6;
    check_found(outcome, "readings", "One reading does not fit");
    fit->gross = 0.1;
    fit->score = 1;
    fit->alone = 4;
    check_named(outcome, "Only reading ", 2, " points to unlisted heat there");
    fit->alone = 0;
    fit->idle = "U3";
    check_named(outcome, "Reading ", 2, " lies on a listed source and shows hardly any heat");
    sample_free(outcome);
}

static void a_finding_leads_to_the_worst_of_its_kind(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(9);
    sf_field *field = outcome->field;
    field->readings[2].score = 4;
    field->readings[5].score = -7;
    field->readings[6].score = 5;
    const sf_observation *worst = &outcome->observations[field->readings[5].observation];
    check_target(outcome, "3 readings do not fit", worst->id, worst->x_mm, worst->y_mm);
    field->sources[0].contradiction = true;
    const sf_source_fit *denied = &field->sources[0];
    check_target(outcome, "One listed source", denied->ref, denied->x_mm, denied->y_mm);
    field->sources[0].contradiction = field->sources[0].listed = false;
    check_target(outcome, "One unlisted heat source", NULL, denied->x_mm, denied->y_mm);
    outcome->results[1].worn_by_evidence = true;
    outcome->results[1].past_life = 0;
    const sf_part *part = &outcome->job->parts[1];
    check_target(outcome, "One part", part->ref, part->x_mm, part->y_mm);
    field->summary.noise_factor = 2.6;
    check_target(outcome, "The readings scatter", NULL, NAN, NAN);
    sample_free(outcome);
}

static void sets_that_hold_no_map_are_told_in_words(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(1);
    outcome->observations[0].in_fit = true;
    outcome->observations[0].rise_k = 20;
    check_found(outcome, "readings", "There is only one reading");
    sample_free(outcome);
    outcome = calm_outcome(9);
    for (size_t i = 0; i < outcome->observation_count; i++)
        outcome->observations[i].rise_k = 20 + 0.2 * (double)i;
    check_found(outcome, "readings", "All readings are alike within 1.");
    for (size_t i = 0; i < outcome->observation_count; i++)
        outcome->observations[i].rise_k = 0;
    check_found(outcome, "readings", "Nothing is warmer than its air: was the board on?");
    sample_free(outcome);
    outcome = calm_outcome(9);
    outcome->field->summary.noise_factor = 2.6;
    check_found(outcome, "readings", "The readings scatter 2.6 times as much");
    outcome->whole_file = strdup("the readings fit far better so: is it so?");
    check_found(outcome, "readings", "The readings fit far better so: is it so?");
    free(outcome->whole_file);
    outcome->whole_file = NULL;
    outcome->one_slip = strdup("reading t3 fits far better as 36.1 than as 63.1");
    check_found(outcome, "readings", "Reading t3 fits far better as 36.1 than as 63.1");
    free(outcome->one_slip);
    outcome->one_slip = NULL;
    sample_free(outcome);
}

/* Cut at 90 mm of the sample's 220; readings left of it alone. */
static void a_piece_of_board_without_a_reading_is_named_by_its_place(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(9);
    outcome->field->pieces = 2;
    outcome->field->cut_mm = 90;
    outcome->observations[0].x_mm = 40;
    outcome->observations[1].x_mm = 200;
    check_found(outcome, "", "");
    for (size_t i = 0; i < outcome->observation_count; i++)
        outcome->observations[i].x_mm = 40;
    sample_job(outcome)->parts[0].x_mm = 150;
    check_found(outcome, "map",
                "No reading lies on the piece of board along the right edge: its parts can only be "
                "checked until one does");
    /* cells of 5 mm: that nearest to the middle of what lies between 90 and 220 by 0 and 160 mm */
    check_target(outcome, "No reading lies on the piece", NULL, 152.5, 77.5);
    sample_free(outcome);
}

static void the_error_to_expect_is_the_root_mean_square_over_parts(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(9);
    outcome->results[0].temp_sd_k = 1;
    outcome->results[1].temp_sd_k = 2;
    outcome->results[2].temp_sd_k = 4;
    assert_close(sf_outcome_part_error_k(outcome), sqrt(7), 1e-12, 0); /* (1 + 4 + 16) / 3 */
    sample_free(outcome);
    outcome = sample_outcome(0, 4);
    assert_true(isnan(sf_outcome_part_error_k(outcome)));
    sample_free(outcome);
}

/* Whether a part is counted with those on which heat and meter disagree. Its tolerance is -20 to
 * +50 %, its life thought over from a chance of 0.5 on, and asked about from 0.05 on. */
static void check_disagreement(bool worn_by_meter, double reading_pct, double past_life,
                               bool disagrees)
{
    sf_outcome *outcome = calm_outcome(9);
    sf_job *job = sample_job(outcome);
    job->policy.past_life_replace = 0.5;
    job->policy.past_life_check = 0.05;
    job->parts[1].tolerance_low_pct = 20;
    job->parts[1].tolerance_high_pct = 50;
    outcome->results[1].worn_by_evidence = worn_by_meter;
    outcome->results[1].reading_pct = reading_pct;
    outcome->results[1].past_life = past_life;
    if (disagrees)
        check_found(outcome, "parts", "One part on which heat and meter disagree");
    else
        check_found(outcome, "", "");
    sample_free(outcome);
}

static void a_good_meter_on_a_part_cooked_to_its_end_is_a_disagreement(void **state)
{
    (void)state;
    check_disagreement(false, -7, 0.83, true);
    check_disagreement(false, -20, 0.5, true); /* both ends belong to the tolerance */
    check_disagreement(false, 50, 0.83, true);
    check_disagreement(false, -21, 0.83, false); /* the meter says no more that it is good */
    check_disagreement(false, 51, 0.83, false);
    check_disagreement(false, -7, 0.49, false);
    check_disagreement(false, NAN, 0.83, false);
}

static void a_bad_meter_on_a_part_that_was_never_hot_is_a_disagreement(void **state)
{
    (void)state;
    check_disagreement(true, -63, 0.02, true);
    check_disagreement(true, -63, 0.05, false);
    check_disagreement(true, -63, 0.83, false);
    check_disagreement(true, -63, NAN, false);
}

/* 20 years of 3,000 h are 60,000 h, and 21 have 184,464 h (computed) */
static void hours_that_the_years_deny_are_told_with_the_parts_they_hold_back(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(3);
    sf_job *job = sample_job(outcome);
    free(job->periods[0].note);
    job->period_count = 0;
    job->board.made_year = 2001;
    job->board.survey_year = 2021;
    job->board.hours_per_year = 3000;
    job->board.run_hours = 55000;
    check_found(outcome, "", "");
    job->board.run_hours = 5500;
    check_found(
        outcome, "parts",
        "The board is said to have run 5,500 h, but its years give 60,000 h: find out which "
        "is right");
    outcome->results[1].rule = outcome->results[2].rule = SF_RULE_DOUBTED;
    outcome->results[1].cause = SF_CAUSE_AGE;
    outcome->results[2].cause = SF_CAUSE_HEAT; /* for a reading */
    check_found(
        outcome, "parts",
        "The board is said to have run 5,500 h, but its years give 60,000 h: find out which "
        "is right; 1 part is checked for that alone");
    outcome->results[2].cause = SF_CAUSE_AGE;
    check_found(
        outcome, "parts",
        "The board is said to have run 5,500 h, but its years give 60,000 h: find out which "
        "is right; 2 parts are checked for that alone");
    job->board.run_hours = 550000;
    check_found(
        outcome, "parts",
        "The board is said to have run 550,000 h, more than there are in its years: find out which "
        "is right");
    sample_free(outcome);
}

static void parts_past_by_grade_alone_are_named_from_cool_to_hot(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(9);
    const double temps_c[] = {47, 41, 58};
    for (size_t i = 0; i < 3; i++) {
        outcome->results[i].temp_c = temps_c[i];
        outcome->results[i].used_in_air = i == 0 ? 0.99 : 1.01;
    }
    check_found(outcome, "parts",
                "2 parts are past their rated life by hours and grade alone: the map cannot help "
                "there; measure "
                "a sample of these, from C2 (coolest) to C3 (hottest)");
    outcome->results[2].used_in_air = 0.2;
    check_found(outcome, "parts", "C2 is past its rated life by hours and grade alone");
    outcome->results[1].used_in_air = 0.2;
    check_found(outcome, "", "");
    sample_free(outcome);
}

static void what_the_meter_says_of_an_assumed_endurance_is_told(void **state)
{
    (void)state;
    sf_outcome *outcome = calm_outcome(9);
    sample_grades[0] = (sf_grade_found){1000, false, 6, 1, 2.4, 1.87, 3.8, 0.2};
    check_found(outcome, "parts",
                "Your meter says that parts rated below 105 C last at least 1.8 times the 1,000 h "
                "assumed (6 measured good, 1 worn): set endurance_by_meter to 1");
    sample_job(outcome)->policy.endurance_by_meter = 1;
    check_found(outcome, "parts",
                "Your meter says that parts rated below 105 C last at least 1.8 times the 1,000 h "
                "assumed (6 measured good, 1 worn): the verdicts use it");
    sample_grades[0] = (sf_grade_found){2000, true, 0, 4, 0.4, 0.2, 0.61, 0.3};
    check_found(outcome, "parts",
                "Your meter says that parts rated 105 C or more last at most 0.7 times the 2,000 h "
                "assumed (0 measured good, 4 worn)");
    sample_grades[0] = (sf_grade_found){1000, false, 2, 0, 1.2, 0.8, 1.9, 0.3}; /* says nothing */
    check_found(outcome, "", "");
    sample_grades[0] = (sf_grade_found){0};
    sample_free(outcome);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_calm_board_has_nothing_to_look_at),
        cmocka_unit_test(readings_are_named_by_what_is_wrong_with_them),
        cmocka_unit_test(a_finding_leads_to_the_worst_of_its_kind),
        cmocka_unit_test(sets_that_hold_no_map_are_told_in_words),
        cmocka_unit_test(a_piece_of_board_without_a_reading_is_named_by_its_place),
        cmocka_unit_test(the_error_to_expect_is_the_root_mean_square_over_parts),
        cmocka_unit_test(a_good_meter_on_a_part_cooked_to_its_end_is_a_disagreement),
        cmocka_unit_test(a_bad_meter_on_a_part_that_was_never_hot_is_a_disagreement),
        cmocka_unit_test(hours_that_the_years_deny_are_told_with_the_parts_they_hold_back),
        cmocka_unit_test(parts_past_by_grade_alone_are_named_from_cool_to_hot),
        cmocka_unit_test(what_the_meter_says_of_an_assumed_endurance_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
