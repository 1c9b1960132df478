/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What measured parts say of an endurance that was only assumed, and what the verdict makes of a
 * good reading against it. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "life/fixture.h"

enum { MOST = 8 };

/* Parts of one grade, unmarked, at shares used of the assumed endurance. */
typedef struct sample {
    sf_part parts[MOST];
    sf_part_result results[MOST];
    sf_job job;
} sample;

static void take(sample *of, const double *used, const bool *worn, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        of->parts[i] = plain_part("C1");
        of->parts[i].endurance_h = NAN;
        of->results[i] = (sf_part_result){.endurance_h = 1000,
                                          .endurance_assumed = true,
                                          .used = used[i],
                                          .meter_good = !worn[i],
                                          .worn_by_evidence = worn[i]};
    }
    of->job = plain_job(of->parts, count);
}

/* Computed by SciPy 1.10.1, quad and brentq, from prior exp(-x^2 / (2 sd^2)) of x = ln factor and
 * the Weibull chances exp(ln 0.9 (used/factor)^3) of a good part, one less that of a worn one. */
static void the_factor_is_that_of_bayes_rule(void **state)
{
    (void)state;
    const struct {
        double prior, used[6];
        bool worn[6];
        size_t count;
        double low, median, high, sd;
    } cases[] = {
        {0.45, {3, 3, 3, 3, 3, 3}, {0}, 6, 1.6929645, 2.4073664, 3.8069827, 0.2478510},
        {0.45, {2, 2.5, 4, 1.5}, {0, 0, 0, 1}, 4, 1.2907915, 1.7703392, 2.6666302, 0.2219658},
        {0.35, {0.4, 0.4, 0.4}, {1, 1, 1}, 3, 0.2244598, 0.3654300, 0.6229173, 0.3104127},
        {0.35, {2.5, 2.5, 2.5, 2.5, 2.5}, {0}, 5, 1.3115280, 1.8026802, 2.6664032, 0.2164811},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sample of;
        sf_grade_found found[2];
        take(&of, cases[i].used, cases[i].worn, cases[i].count);
        of.job.policy.endurance_sd = cases[i].prior;
        sf_grades_measured(&of.job, of.results, found);
        /* steps of 0.01 in ln factor */
        assert_close(found[0].factor_low, cases[i].low, 1e-3, 0);
        assert_close(found[0].factor, cases[i].median, 1e-3, 0);
        assert_close(found[0].factor_high, cases[i].high, 1e-3, 0);
        assert_close(found[0].sd, cases[i].sd, 1e-3, 0);
        assert_int_equal(found[0].good + found[0].worn, cases[i].count);
        assert_int_equal(found[1].good + found[1].worn, 0);
        assert_close(found[1].factor, 1, 0, 0);
    }
}

static void marked_parts_other_types_and_unmeasured_ones_say_nothing(void **state)
{
    (void)state;
    const double used[] = {3, 3, 3, 3};
    const bool worn[MOST] = {false};
    sample of;
    sf_grade_found found[2];
    take(&of, used, worn, 4);
    of.results[0].endurance_assumed = false;
    of.parts[1].type = SF_TYPE_POLYMER;
    of.results[2].meter_good = false;
    of.results[3].used = NAN;
    sf_grades_measured(&of.job, of.results, found);
    assert_int_equal(found[0].good + found[0].worn, 0);
    assert_close(found[0].factor, 1, 0, 0);
    assert_close(found[0].sd, of.job.policy.endurance_sd, 0, 0);
    /* without a sample the interval is the prior's: exp(-+1.6448536 * 0.35) */
    assert_close(found[0].factor_low, exp(-1.6448536 * 0.35), 1e-3, 0);
}

/* An unmarked part at 60 C: 24,000 h of 5,657 h; capacitance and ESR well within their limits. */
static sf_part measured_part(void)
{
    sf_part part = plain_part("C1");
    part.endurance_h = NAN;
    part.measured_uf = 46;
    part.measured_esr_ohm = 0.4;
    return part;
}

static void a_good_part_of_assumed_endurance_is_at_most_checked_and_asked_about(void **state)
{
    (void)state;
    sf_part part = measured_part();
    sf_job job = plain_job(&part, 1);
    sf_part_result result = decide_one(&job, 37, 1);
    assert_true(result.past_life > 0.9);
    assert_int_equal(result.verdict, SF_CHECK);
    assert_true(result.meter_good);
    assert_non_null(strstr(result.reason, "yet capacitance and ESR are good: is 1,000 h too low?"));
    free(result.reason);
    part.critical = true; /* by chance alone no more than a check either */
    result = decide_one(&job, 37, 1);
    assert_int_equal(result.verdict, SF_CHECK);
    free(result.reason);
    part.year = 1990; /* but its age does not hang on an assumption */
    result = decide_one(&job, 37, 1);
    assert_int_equal(result.verdict, SF_REPLACE);
    free(result.reason);
}

static void one_reading_alone_or_a_marked_endurance_spares_nothing(void **state)
{
    (void)state;
    for (int missing = 0; missing < 3; missing++) {
        sf_part part = measured_part();
        if (missing == 0)
            part.measured_uf = NAN;
        if (missing == 1)
            part.measured_esr_ohm = NAN;
        if (missing == 2)
            part.endurance_h = 1000;
        sf_job job = plain_job(&part, 1);
        sf_part_result result = decide_one(&job, 37, 1);
        assert_int_equal(result.verdict, SF_REPLACE);
        free(result.reason);
    }
}

/* Five good parts and one that was not measured, all alike. */
static void an_assumption_is_corrected_only_where_the_policy_asks_for_it(void **state)
{
    (void)state;
    sf_part parts[6];
    sf_estimate rises_k[6];
    for (size_t i = 0; i < 6; i++) {
        parts[i] = measured_part();
        rises_k[i] = (sf_estimate){28, 1};
    }
    parts[5].measured_uf = parts[5].measured_esr_ohm = NAN;
    sf_job job = plain_job(parts, 6);
    sf_part_result *told = NULL, *used = NULL;
    sf_grade_found before[2], after[2];
    assert_int_equal(sf_parts_decide(&job, rises_k, &told), SF_OK);
    job.policy.endurance_by_meter = 1;
    assert_int_equal(sf_parts_decide(&job, rises_k, &used), SF_OK);
    sf_grades_measured(&job, told, before);
    sf_grades_measured(&job, used, after);
    assert_close(told[5].endurance_h, 1000, 0, 0);
    assert_true(before[0].factor > 1.2);
    assert_close(used[5].endurance_h, 1000 * before[0].factor, 1e-12, 0);
    assert_close(used[5].used, told[5].used / before[0].factor, 1e-9, 0);
    assert_close(used[5].endurance_sd, before[0].sd, 1e-12, 0);
    assert_true(used[5].past_life < told[5].past_life);
    assert_close(after[0].factor, before[0].factor, 1e-9, 0); /* it does not feed on itself */
    sf_part_results_free(told, 6);
    sf_part_results_free(used, 6);
}

static void hours_and_grade_alone_are_told_apart_from_heat(void **state)
{
    (void)state;
    sf_part part = plain_part("C1");
    part.endurance_h = 1000;
    sf_job job = plain_job(&part, 1);
    job.board.run_hours = 20000;
    sf_part_result result = decide_one(&job, 25, 1);
    assert_int_equal(result.rule, SF_RULE_PAST_LIFE);
    /* computed: 20,000 h of 1,000 * 2^4.5 h, the floor of 40 C being warmer than the air of 23 */
    assert_close(result.used_in_air, 20000 / (1000 * pow(2, 4.5)), 1e-12, 0);
    assert_null(strstr(result.reason, "hours and grade alone"));
    free(result.reason);
    job.board.service_ambient_c = 43; /* 20,000 h of 1,000 * 2^4.2 h */
    result = decide_one(&job, 25, 1);
    assert_close(result.used_in_air, 20000 / (1000 * pow(2, 4.2)), 1e-12, 0);
    assert_int_equal(result.verdict, SF_REPLACE);
    assert_non_null(strstr(result.reason, "by hours and grade alone"));
    free(result.reason);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_factor_is_that_of_bayes_rule),
        cmocka_unit_test(marked_parts_other_types_and_unmeasured_ones_say_nothing),
        cmocka_unit_test(a_good_part_of_assumed_endurance_is_at_most_checked_and_asked_about),
        cmocka_unit_test(one_reading_alone_or_a_marked_endurance_spares_nothing),
        cmocka_unit_test(an_assumption_is_corrected_only_where_the_policy_asks_for_it),
        cmocka_unit_test(hours_and_grade_alone_are_told_apart_from_heat),
    };
    return cmocka_run_group_tests_name("grades", tests, NULL, NULL);
}
