/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The verdict in a few sentences, for every mixture of verdicts and causes. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "output/sample.h"

/* One part of the board to be spoken of. */
typedef struct spoken {
    sf_rule rule;
    double temp_c, used;
} spoken;

static sf_outcome *outcome_of(const spoken *parts, size_t count)
{
    sf_outcome *outcome = sample_outcome(count, 3);
    for (size_t i = 0; i < count; i++) {
        sample_decide(&outcome->results[i], parts[i].rule);
        outcome->results[i].temp_c = parts[i].temp_c;
        outcome->results[i].used = parts[i].used;
    }
    sample_recount(outcome);
    return outcome;
}

/* Compares the sentence of an outcome, and frees it. */
static void check_outcome(sf_outcome *outcome, const char *expected)
{
    char *sentence = sf_outcome_sentence(outcome);
    assert_non_null(sentence);
    assert_string_equal(sentence, expected);
    free(sentence);
    sample_free(outcome);
}

static void check_sentence(const spoken *parts, size_t count, const char *expected)
{
    check_outcome(outcome_of(parts, count), expected);
}

static void a_mixed_board_tells_counts_causes_and_what_stays(void **state)
{
    (void)state;
    static const spoken parts[] = {
        {SF_RULE_EVIDENCE, 31.2, 0.12},  {SF_RULE_PAST_LIFE, 83.7, 2.31},
        {SF_RULE_CRITICAL, 44.4, 0.31},  {SF_RULE_PAST_LIFE, 58.8, 1.02},
        {SF_RULE_DOUBT, 55.1, 0.87},     {SF_RULE_LEAVE, 31.3, 0.07},
        {SF_RULE_EVIDENCE, 33.9, 0.23},  {SF_RULE_LEAVE, 46.6, 0.2134},
        {SF_RULE_MEASURE, 49.1, 0.64},   {SF_RULE_PAST_LIFE, 61.4, 1.17},
        {SF_RULE_CRITICAL, 47.3, 0.362}, {SF_RULE_LEAVE, 41.2, 0.19},
    };
    check_sentence(
        parts, 12,
        "Replace 7 of 12 capacitors, check 2, leave 3. Of the 7, 3 go because heat has probably "
        "used up their rated life (59 to 84 C, by C2 C4 C10), 2 because they are "
        "critical and older than 15 years, and 2 because meter or eye found them worn. "
        "The 3 left have used at most 22 % of their rated life.");
}

static void one_part_for_each_cause(void **state)
{
    (void)state;
    static const spoken parts[] = {{SF_RULE_PAST_LIFE, 83.7, 2.31},
                                   {SF_RULE_CRITICAL, 44.4, 0.31},
                                   {SF_RULE_EVIDENCE, 31.2, 0.12},
                                   {SF_RULE_LEAVE, 38.2, 0.113}};
    check_sentence(
        parts, 4,
        "Replace 3 of 4 capacitors, leave 1. Of the 3, one goes because heat has probably used up "
        "its rated life (84 C, by C1), one because it is critical and older than 15 "
        "years, and one because meter or eye found it worn. The one left has used at "
        "most 12 % of its rated life.");
}

static void one_cause_for_all_is_told_without_a_count(void **state)
{
    (void)state;
    static const spoken hot[] = {{SF_RULE_PAST_LIFE, 66.3, 1.31},
                                 {SF_RULE_PAST_LIFE, 63.9, 1.22},
                                 {SF_RULE_LEAVE, 40.7, 0.31}};
    static const spoken worn[] = {{SF_RULE_EVIDENCE, 66.3, 1.31}, {SF_RULE_MEASURE, 40.7, 0.31}};
    check_sentence(hot, 3,
                   "Replace 2 of 3 capacitors, leave 1. The 2 go because heat has probably used up "
                   "their rated life (64 to 66 C, by C1 C2). The one left has used at most 31 % of "
                   "its rated life.");
    check_sentence(worn, 2,
                   "Replace 1 of 2 capacitors, check 1. The one goes because meter or eye found it "
                   "worn.");
}

static void critical_parts_go_for_their_age_or_their_heat(void **state)
{
    (void)state;
    static const spoken parts[] = {{SF_RULE_CRITICAL, 66.3, 0.81}, {SF_RULE_CRITICAL, 63.9, 0.72}};
    sf_outcome *outcome = outcome_of(parts, 2);
    sample_job(outcome)->policy.seal_years = 12;
    outcome->results[0].age_years = 11.9;
    check_outcome(outcome,
                  "Replace both capacitors. They go because they are critical and older than 12 "
                  "years or perhaps past their rated life.");
    outcome = outcome_of(parts, 2);
    outcome->results[0].age_years = outcome->results[1].age_years = NAN;
    check_outcome(outcome, "Replace both capacitors. They go because they are critical and perhaps "
                           "past their rated life.");
    outcome = outcome_of(parts, 1);
    outcome->results[0].age_years = 3.7;
    check_outcome(outcome, "Replace the one capacitor listed. It goes because it is critical and "
                           "perhaps past its rated life.");
}

static void a_place_that_cannot_be_told_is_left_out(void **state)
{
    (void)state;
    static const spoken parts[] = {{SF_RULE_PAST_LIFE, 83.7, 2.31},
                                   {SF_RULE_PAST_LIFE, 71.2, 1.45}};
    sf_outcome *outcome = outcome_of(parts, 2);
    sample_text(&sample_job(outcome)->parts[0].ref, "");
    check_outcome(outcome, "Replace both capacitors. They go because heat has probably used up "
                           "their rated life (71 to 84 C).");
}

static void nothing_to_replace(void **state)
{
    (void)state;
    static const spoken parts[] = {
        {SF_RULE_MEASURE, 57.3, 0.91}, {SF_RULE_LEAVE, 44.4, 0.332}, {SF_RULE_LEAVE, 41.2, 0.271}};
    check_sentence(parts, 3,
                   "Replace none of 3 capacitors, check 1, leave 2. The 2 left have used at most "
                   "34 % of their rated life.");
}

static void everything_alike(void **state)
{
    (void)state;
    static const spoken worn[] = {{SF_RULE_PAST_LIFE, 78.4, 1.9}, {SF_RULE_PAST_LIFE, 78.1, 1.6}};
    static const spoken doubted[] = {{SF_RULE_DOUBT, 58.4, 0.9}, {SF_RULE_DOUBT, 52.9, 0.6}};
    static const spoken sound[] = {
        {SF_RULE_LEAVE, 38.4, 0.013}, {SF_RULE_LEAVE, 38.1, 0.002}, {SF_RULE_LEAVE, 38.3, 0.004}};
    check_sentence(worn, 2,
                   "Replace both capacitors. They go because heat has probably used up their rated "
                   "life (78 C, by C1 C2).");
    check_sentence(doubted, 2, "Check both capacitors.");
    check_sentence(sound, 3,
                   "Leave all 3 capacitors. They have used at most 2 % of their rated life.");
}

static void one_part_alone(void **state)
{
    (void)state;
    static const spoken worn = {SF_RULE_PAST_LIFE, 78.4, 1.9}, doubted = {SF_RULE_DOUBT, 58.4, 0.9},
                        sound = {SF_RULE_LEAVE, 38.4, 0.0003};
    check_sentence(&worn, 1,
                   "Replace the one capacitor listed. It goes because heat has probably used up "
                   "its rated life (78 C, by C1).");
    check_sentence(&doubted, 1, "Check the one capacitor listed.");
    check_sentence(&sound, 1,
                   "Leave the one capacitor listed. It has used at most 1 % of its rated life.");
}

static void an_unknown_share_is_not_spoken_of(void **state)
{
    (void)state;
    static const spoken parts[] = {{SF_RULE_LEAVE, 40.3, NAN}, {SF_RULE_LEAVE, 43.4, 0.77}};
    check_sentence(parts, 2, "Leave both capacitors.");
}

static void unknown_hours_of_a_whole_board_are_told(void **state)
{
    (void)state;
    static const spoken parts[] = {{SF_RULE_MEASURE, 40.3, NAN}, {SF_RULE_MEASURE, 43.4, NAN}};
    sf_outcome *outcome = outcome_of(parts, 2);
    outcome->results[0].hours = outcome->results[1].hours = NAN;
    check_outcome(outcome, "Check both capacitors. How long the board has run is not known, so "
                           "only a meter can tell.");
    outcome = outcome_of(parts, 2);
    outcome->results[0].hours = NAN; /* the other was fitted later */
    check_outcome(outcome, "Check both capacitors.");
}

static void a_board_without_parts_tells_its_heat(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(0, 3);
    size_t cells = outcome->field->grid.columns * outcome->field->grid.rows;
    for (size_t i = 0; i < cells; i++)
        if (outcome->field->inside[i])
            outcome->temps_c[i] = 41.4;
    outcome->temps_c[44 * 19 + 23] = 85.9;
    outcome->temps_c[0] = 120; /* cut away: not board */
    char *sentence = sf_outcome_sentence(outcome);
    assert_string_equal(sentence, "No capacitor is listed; the board runs at 41 to 86 C, hottest "
                                  "near (118, 98) mm.");
    free(sentence);
    memset(outcome->field->inside, 0, cells);
    sentence = sf_outcome_sentence(outcome);
    assert_string_equal(sentence, "No capacitor is listed.");
    free(sentence);
    sample_free(outcome);
}

static void parts_past_their_life_by_grade_alone_are_told_apart(void **state)
{
    (void)state;
    static const spoken parts[] = {{SF_RULE_PAST_LIFE, 83.7, 2.31},
                                   {SF_RULE_PAST_LIFE, 44.4, 1.9},
                                   {SF_RULE_PAST_LIFE, 41.4, 1.7},
                                   {SF_RULE_LEAVE, 38.2, 0.113}};
    sf_outcome *outcome = outcome_of(parts, 4);
    outcome->results[1].cause = outcome->results[2].cause = SF_CAUSE_AGE;
    check_outcome(
        outcome, "Replace 3 of 4 capacitors, leave 1. Of the 3, 2 go because hours and grade alone "
                 "have used up their rated life, even at the temperature of the air (the map "
                 "cannot help there: measure a sample of these), and one because heat has probably "
                 "used up its rated life (84 C, by C1). The one left has used at most 12 % of its "
                 "rated life.");
}

static void parts_without_a_law_of_life_have_used_none(void **state)
{
    (void)state;
    static const spoken parts[] = {{SF_RULE_PAST_LIFE, 83.7, 2.31}, {SF_RULE_LEAVE, 38.2, NAN}};
    sf_outcome *outcome = outcome_of(parts, 2);
    sample_job(outcome)->parts[1].type = SF_TYPE_TANTALUM;
    check_outcome(outcome, "Replace 1 of 2 capacitors, leave 1. The one goes because heat has "
                           "probably used up its rated life (84 C, by C1).");
}

/* Twenty parts left, each worn with a chance of a tenth; parts and hours shared by so much. */
static void check_interval(double air_sd_k, double endurance_sd, const char *expected)
{
    sf_outcome *outcome = sample_outcome(20, 3);
    sf_job *job = sample_job(outcome);
    job->board.service_ambient_sd_k = air_sd_k;
    job->board.run_hours_sd = NAN;
    job->board.run_hours_sd_pct = air_sd_k > 0 ? 10 : 0;
    job->policy.wear_shape = 3;
    for (size_t i = 0; i < 20; i++) {
        outcome->results[i].verdict = SF_LEAVE;
        outcome->results[i].worn_out = 0.1;
        outcome->results[i].endurance_sd = endurance_sd;
    }
    char *why = sf_outcome_why_not_all(outcome);
    if (!strstr(why, expected))
        print_error("%s\n", why);
    assert_non_null(strstr(why, expected));
    free(why);
    sample_free(outcome);
}

static void the_failures_to_expect_come_with_their_interval(void **state)
{
    (void)state;
    /* 5 and 95 % quantiles of the binomial distribution, n 20, p 0.1: 0 and 4 (tables); mixed over
     * three nodes of what the parts share, sd hypot(2 ln 2/10, 0.1) and 0.45 besides: SciPy */
    check_interval(0, 0, "Of the 20 that stay, expect about 2.0 (90 %: 0 to 4) to prove worn out");
    check_interval(2, 0, "(90 %: 0 to 5)");
    check_interval(2, 0.45, "(90 %: 0 to 9)");
}

/* Every sentence is of one part, and of none there is nothing to tell. */
static void why_not_all_is_told_of_a_single_part_as_of_one(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 3);
    sf_job *job = sample_job(outcome);
    job->policy.work_minutes = 20;
    job->policy.slip_pct = 1;
    job->board.hours_per_year = 2000;
    for (size_t i = 0; i < 3; i++) {
        outcome->results[i].verdict = i == 2 ? SF_LEAVE : SF_REPLACE;
        outcome->results[i].worn_out = 0.004;
        outcome->results[i].left_h = 9000;
        outcome->results[i].used = 0.3;
        outcome->results[i].age_years = 7;
    }
    char *why = sf_outcome_why_not_all(outcome);
    assert_string_equal(
        why, "One part stays; the chance that it proves worn out on a meter today is about 0.4 %. "
             "Replacing it as well would take 1 more part and about 20 minutes at the bench. If "
             "1 % of such jobs go wrong, expect fewer than 0.1 lifted pads, damaged tracks or "
             "parts fitted the wrong way round: more harm than good. Look at it again within 4 "
             "years.");
    free(why);
    outcome->results[2].age_years = 28;
    outcome->results[2].worn_out = 0.0001;
    why = sf_outcome_why_not_all(outcome);
    assert_non_null(strstr(why, "today is below 0.1 %."));
    assert_non_null(strstr(why, "Look at it again at the next service: it is past the 15 years "
                                "advised for seals."));
    free(why);
    outcome->results[1].verdict = SF_LEAVE;
    outcome->results[1].worn_out = 0.004;
    why = sf_outcome_why_not_all(outcome);
    assert_non_null(strstr(why, "Of the 2 that stay, none is likely to prove worn out on a meter "
                                "today."));
    free(why);
    outcome->results[1].verdict = outcome->results[2].verdict = SF_REPLACE;
    why = sf_outcome_why_not_all(outcome);
    assert_string_equal(why, "");
    free(why);
    sample_free(outcome);
}

static void what_replacing_them_would_cost_and_when_to_look_again_are_told(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(3, 3);
    sf_job *job = sample_job(outcome);
    job->policy.work_minutes = 15;
    job->policy.slip_pct = 2;
    job->board.hours_per_year = 2000;
    for (size_t i = 0; i < 3; i++) {
        outcome->results[i].verdict = i == 0 ? SF_REPLACE : SF_LEAVE;
        outcome->results[i].worn_out = 0.01;
        outcome->results[i].left_h = 9000 - 1000 * (double)i;
        outcome->results[i].used = 0.3;
        outcome->results[i].age_years = 7;
    }
    char *why = sf_outcome_why_not_all(outcome);
    /* computed: 2 * 15 / 60 h, 2 * 0.02, 7,000 / 2,000 years */
    assert_non_null(strstr(why,
                           "would take 2 more parts and about 30 minutes at the bench. If 2 % of "
                           "such jobs go wrong, expect fewer than 0.1 lifted pads, damaged tracks "
                           "or parts fitted the wrong way round: more harm than good."));
    assert_non_null(strstr(why, "Look at them again within 3 years. Begin with C3: its "
                                "rated life ends first."));
    free(why);
    for (size_t i = 1; i < 3; i++)
        outcome->results[i].age_years = 28;
    why = sf_outcome_why_not_all(outcome);
    assert_non_null(strstr(why,
                           "Look at them again at the next service: both are past the 15 years "
                           "advised for seals."));
    free(why);
    for (size_t i = 1; i < 3; i++)
        outcome->results[i].verdict = SF_CHECK;
    why = sf_outcome_why_not_all(outcome);
    assert_string_equal(why, "");
    free(why);
    sample_free(outcome);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mixed_board_tells_counts_causes_and_what_stays),
        cmocka_unit_test(one_part_for_each_cause),
        cmocka_unit_test(one_cause_for_all_is_told_without_a_count),
        cmocka_unit_test(critical_parts_go_for_their_age_or_their_heat),
        cmocka_unit_test(a_place_that_cannot_be_told_is_left_out),
        cmocka_unit_test(nothing_to_replace),
        cmocka_unit_test(everything_alike),
        cmocka_unit_test(one_part_alone),
        cmocka_unit_test(an_unknown_share_is_not_spoken_of),
        cmocka_unit_test(unknown_hours_of_a_whole_board_are_told),
        cmocka_unit_test(a_board_without_parts_tells_its_heat),
        cmocka_unit_test(parts_past_their_life_by_grade_alone_are_told_apart),
        cmocka_unit_test(parts_without_a_law_of_life_have_used_none),
        cmocka_unit_test(the_failures_to_expect_come_with_their_interval),
        cmocka_unit_test(why_not_all_is_told_of_a_single_part_as_of_one),
        cmocka_unit_test(what_replacing_them_would_cost_and_when_to_look_again_are_told),
    };
    return cmocka_run_group_tests_name("report sentence", tests, NULL, NULL);
}
