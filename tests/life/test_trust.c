/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A part whose heat cannot be relied on is not told to stay: rules, reason, and what makes it so on
 * a fitted field. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "core/text.h"
#include "life/decide.h"
#include "life/desk.h"
#include "life/fixture.h"

static void assert_rule(const rule_inputs *of, const sf_policy *policy, sf_rule rule,
                        sf_verdict verdict)
{
    sf_part_result result = {0};
    rules_apply(of, policy, &result);
    assert_int_equal(result.rule, rule);
    assert_int_equal(result.verdict, verdict);
}

static void only_a_part_that_would_stay_is_held_back(void **state)
{
    (void)state;
    sf_policy policy = usual_policy();
    rule_inputs calm = {.used = 0.2, .left_h = 1e4, .goal_h = NAN}, of = calm;
    assert_int_equal(rule_find(&of, &policy), SF_RULE_LEAVE);
    of.doubted = true;
    assert_rule(&of, &policy, SF_RULE_DOUBTED, SF_CHECK);
    of.unread = true;
    assert_rule(&of, &policy, SF_RULE_UNREAD, SF_CHECK);
    of.past_life = 0.9;
    assert_int_equal(rule_find(&of, &policy), SF_RULE_PAST_LIFE);
    of.past_life = NAN;
    of.used = NAN;
    assert_int_equal(rule_find(&of, &policy), SF_RULE_MEASURE);
    of = calm;
    of.unread = of.critical = of.past_seal = true;
    assert_int_equal(rule_find(&of, &policy), SF_RULE_CRITICAL);
}

static sf_part_result decided(const sf_job *job, sf_trust trust)
{
    sf_estimate rise = {6, 1};
    sf_part_result *results;
    assert_int_equal(sf_parts_decide_trusting(job, &rise, &trust, &results), SF_OK);
    sf_part_result result = results[0];
    result.reason = text_format("%s", results[0].reason);
    sf_part_results_free(results, 1);
    return result;
}

static sf_rule decided_rule(const sf_job *job)
{
    sf_part_result result = decided(job, (sf_trust){0});
    free(result.reason);
    return result.rule;
}

static void check_told(const sf_job *job, sf_trust trust, sf_rule rule, const char *reason,
                       const char *step)
{
    sf_part_result result = decided(job, trust);
    char *explained;
    sf_estimate rise = {6, 1};
    assert_int_equal(result.rule, rule);
    if (!strstr(result.reason, reason))
        fail_msg("\"%s\" lacks \"%s\"", result.reason, reason);
    assert_int_equal(sf_part_explain(job, 0, rise, &result, &explained), SF_OK);
    if (!strstr(explained, step))
        fail_msg("\"%s\" lacks \"%s\"", explained, step);
    free(explained);
    free(result.reason);
}

static void reason_and_explanation_name_what_is_in_doubt(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = 2000;
    job.board.made_year = 2019;
    check_told(&job, (sf_trust){0}, SF_RULE_LEAVE, "left", "otherwise: leave; it decides");
    check_told(&job, (sf_trust){.unread = true}, SF_RULE_UNREAD,
               "; no reading on this piece of the board: read it before the part may stay",
               "was not read: check: no reading lies on it; it decides");
    check_told(&job, (sf_trust){.doubted = "r7"}, SF_RULE_DOUBTED,
               "; depends on r7, which is in doubt: read it again",
               "its air: check: reading r7 is in doubt; it decides");
    check_told(&job, (sf_trust){.doubted = "U3", .source = true}, SF_RULE_DOUBTED,
               "; depends on U3, which is in doubt: read the board at it again",
               "its air: check: source U3 is in doubt; it decides");
}

static void the_explanation_says_which_clause_asks_for_the_meter(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = 2000;
    job.board.made_year = 2019;
    job.board.service_goal_h = 1e6;
    check_told(&job, (sf_trust){0}, SF_RULE_MEASURE, "",
               "only a meter can tell: check: its rated life ends before the service goal (no "
               "meter reading in doubt, past_life ");
    job.board.service_goal_h = NAN;
    job.board.run_hours = NAN;
    check_told(&job, (sf_trust){0}, SF_RULE_MEASURE, "",
               "only a meter can tell: check: how much of its rated life is used is not known (no "
               "meter reading in doubt, past_life is not known");
    job.board.run_hours = 2000;
    check_told(&job, (sf_trust){.unread = true}, SF_RULE_UNREAD, "",
               "only a meter can tell: check: no meter reading in doubt, past_life ");
}

/* 12 years of 6,000 h are 72,000 h, ten times what was typed (computed). */
static void hours_that_disagree_with_the_years_hold_back_a_part_that_would_stay(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = 7200;
    job.board.survey_year = 2021;
    job.board.hours_per_year = 6000;
    job.board.run_hours_sd_pct = 10;
    check_told(&job, (sf_trust){0}, SF_RULE_DOUBTED,
               "; by its years the board ran 72,000 h: find out which is right",
               "its air: check: 7200 h against 72000 h by hours_per_year; it decides");
    part.hours = 7200; /* its own, told apart from the board's */
    check_told(&job, (sf_trust){0}, SF_RULE_LEAVE, "until its seals",
               "otherwise: leave; it decides");
    part.hours = NAN;
    job.board.run_hours_sd_pct = 5; /* counted by a meter */
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
    job.board.run_hours_sd_pct = 10;
    assert_int_equal(decided_rule(&job), SF_RULE_DOUBTED);
    job.board.run_hours = 14000; /* five times that are 70,000, and 11 years make 66,000 */
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
    job.board.run_hours = 45000;
    assert_int_not_equal(decided_rule(&job), SF_RULE_DOUBTED);
    job.board.run_hours = 720; /* a part that would be little used by either count */
    job.board.hours_per_year = 400;
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
}

/* Computed: 15 K more double the wear one and a half times, 0.3 of a life to 0.85. */
static void air_colder_than_at_the_bench_holds_back_a_part_that_would_stay(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = 16000;
    job.board.ambient_c = 25;
    job.board.service_ambient_c = 10;
    job.board.service_ambient_sd_k = 2;
    check_told(&job, (sf_trust){0}, SF_RULE_DOUBTED,
               "; the service air is given as 15 K colder than the bench: check both temperatures",
               "its air: check: the service air may be 15 K warmer than given; it decides");
    job.board.service_ambient_sd_k = 1; /* measured */
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
    job.board.ambient_c = 76; /* 24.4 C: 51.6 K, and what service_ambient_u says of it is idle */
    assert_int_equal(decided_rule(&job), SF_RULE_DOUBTED);
    job.board.ambient_c = 25;
    job.board.service_ambient_sd_k = 2;
    job.board.service_ambient_c = 15; /* no more than 10 K */
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
    job.board.service_ambient_c = 10;
    job.board.run_hours = 1000; /* little used in warmer air too */
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
}

/* Common practice, no source: no can is rated above 150 C; 5,000 h are the most at 85 C, and a
 * digit too many makes at least twice of it. */
static void a_grade_that_nobody_makes_holds_back_a_part_that_would_stay(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = 2000;
    part.rated_c = 185;
    check_told(&job, (sf_trust){0}, SF_RULE_DOUBTED,
               "; a rating of 185 C is above any usual one: read its marking again",
               "its air: check: its rating or endurance is higher than any catalogue promises; it "
               "decides");
    part.rated_c = 150;
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
    part.rated_c = 85;
    part.endurance_h = 10001;
    check_told(&job, (sf_trust){0}, SF_RULE_DOUBTED,
               "; an endurance of 10,001 h is more than twice what catalogues promise: look it up "
               "again",
               "higher than any catalogue promises; it decides");
    part.endurance_h = 10000;
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
    part.endurance_h = 20000;
    part.diameter_mm = 36; /* large cans are promised more */
    assert_int_equal(decided_rule(&job), SF_RULE_LEAVE);
    part.type = SF_TYPE_TANTALUM;
    part.diameter_mm = 6;
    part.rated_c = 185;
    assert_int_not_equal(decided_rule(&job), SF_RULE_DOUBTED);
}

/* Fits the desk's field. */
static sf_trust *trust_of(desk *on)
{
    sf_point cans[PARTS];
    for (size_t i = 0; i < PARTS; i++)
        cans[i] = (sf_point){on->parts[i].x_mm, on->parts[i].y_mm};
    sf_field_input input = {.board = &on->job.board,
                            .rings = on->job.rings,
                            .ring_count = on->job.ring_count,
                            .sources = on->sources,
                            .source_count = SOURCES,
                            .observations = on->seen,
                            .observation_count = SEEN,
                            .cans = cans,
                            .can_count = PARTS};
    sf_field_options options = sf_field_options_default();
    sf_field *field;
    sf_trust *trusts;
    options.cells_max = 600;
    assert_int_equal(sf_field_fit(&input, &options, &field, &on->diagnostics), SF_OK);
    assert_int_equal(sf_parts_trust(&on->job, field, on->seen, NULL, &trusts), SF_OK);
    sf_diagnostics_clear(&on->diagnostics);
    sf_field_free(field);
    return trusts;
}

/* A slot from edge to edge, left of all readings but one, which a test may leave out. */
static void cut(desk *on)
{
    sf_point *corner = on->corners + 4;
    corner[0].y_mm = corner[1].y_mm = 0;
    corner[2].y_mm = corner[3].y_mm = 80;
}

static void parts_on_a_piece_that_nobody_read_are_unread(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    sf_trust *whole = trust_of(&on);
    cut(&on);
    sf_trust *both = trust_of(&on);
    on.seen[1].in_fit = false; /* at (30, 60) */
    sf_trust *right = trust_of(&on);
    for (size_t i = 0; i < PARTS; i++) {
        bool left = on.parts[i].x_mm < 46;
        assert_false(whole[i].unread);
        assert_false(both[i].unread);
        assert_int_equal(right[i].unread, left);
    }
    free(whole);
    free(both);
    free(right);
}

/* Nine readings of a plain field, the tenth far too low beside one part. */
static void a_reading_that_is_far_off_is_held_against_the_parts_near_it_alone(void **state)
{
    (void)state;
    desk on;
    desk_set(&on);
    sf_trust *sound = trust_of(&on);
    for (size_t i = 0; i < PARTS; i++)
        assert_string_equal(sound[i].doubted, "");
    on.seen[4].rise_k = -20; /* at (90, 46), over H2 */
    on.seen[4].id = "t4";
    sf_trust *spoilt = trust_of(&on);
    assert_string_equal(spoilt[2].doubted, "t4"); /* C3, 11 mm off */
    assert_false(spoilt[2].source);
    assert_string_equal(spoilt[0].doubted, ""); /* C1, 80 mm off */
    assert_string_equal(spoilt[5].doubted, "");
    free(sound);
    free(spoilt);
}

static void a_reading_is_in_doubt_by_each_of_its_marks(void **state)
{
    (void)state;
    assert_false(sf_reading_doubted(&(sf_reading_fit){.score = -2.4, .alone = 2.9, .gross = 0.49}));
    assert_false(sf_reading_doubted(&(sf_reading_fit){.score = 2.9}));
    assert_true(sf_reading_doubted(&(sf_reading_fit){.score = -2.6}));
    assert_true(sf_reading_doubted(&(sf_reading_fit){.score = 3.1}));
    assert_true(sf_reading_doubted(&(sf_reading_fit){.alone = 3.1}));
    assert_true(sf_reading_doubted(&(sf_reading_fit){.gross = 0.5}));
    assert_false(sf_reading_doubted(&(sf_reading_fit){.score = NAN, .alone = NAN, .gross = NAN}));
    assert_true(sf_reading_weightless(&(sf_reading_fit){.gross = 0.5, .score = -2}));
    assert_false(sf_reading_weightless(&(sf_reading_fit){.gross = 0.5, .score = 2}));
    assert_true(sf_source_doubted(&(sf_source_fit){.listed = true, .contradiction = true}));
    assert_true(sf_source_doubted(&(sf_source_fit){.listed = true, .power_score = -3.1}));
    assert_false(sf_source_doubted(&(sf_source_fit){.listed = true, .power_score = NAN}));
    assert_false(sf_source_doubted(&(sf_source_fit){.power_score = 3.1}));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_a_part_that_would_stay_is_held_back),
        cmocka_unit_test(reason_and_explanation_name_what_is_in_doubt),
        cmocka_unit_test(the_explanation_says_which_clause_asks_for_the_meter),
        cmocka_unit_test(hours_that_disagree_with_the_years_hold_back_a_part_that_would_stay),
        cmocka_unit_test(air_colder_than_at_the_bench_holds_back_a_part_that_would_stay),
        cmocka_unit_test(a_grade_that_nobody_makes_holds_back_a_part_that_would_stay),
        cmocka_unit_test(parts_on_a_piece_that_nobody_read_are_unread),
        cmocka_unit_test(a_reading_that_is_far_off_is_held_against_the_parts_near_it_alone),
        cmocka_unit_test(a_reading_is_in_doubt_by_each_of_its_marks),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
