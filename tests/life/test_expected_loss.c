/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a verdict rests on along the rise: against the decision itself, against the rules, and
 * against integration by a library. */
#include "support/check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <math.h>

#include "life/expected_loss.h"
#include "life/fixture.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* A job of one part, and its loss model. */
typedef struct stand {
    sf_part part;
    sf_job job;
    history lived;
    meter with;
} stand;

static void stand_set(stand *on)
{
    on->part = plain_part("C9");
    on->job = plain_job(&on->part, 1);
}

static loss_model look(stand *on)
{
    sf_part_result *cold;
    sf_estimate none = {0, 0};
    history_start(&on->lived, &on->job);
    assert_int_equal(meter_judge(&on->job, &on->with), SF_OK);
    assert_int_equal(sf_parts_decide(&on->job, &none, &cold), SF_OK);
    loss_model made = loss_make(&on->job, &on->lived, &on->with, &on->part, &cold[0]);
    sf_part_results_free(cold, 1);
    return made;
}

/* One number of the decision at a rise. */
static double decided_past(const stand *on, double rise_k, double sd_k)
{
    sf_part_result *result;
    sf_estimate at = {rise_k, sd_k};
    assert_int_equal(sf_parts_decide(&on->job, &at, &result), SF_OK);
    double past = result[0].past_life;
    sf_part_results_free(result, 1);
    return past;
}

static sf_verdict decided_verdict(const stand *on, double rise_k, double sd_k)
{
    sf_part_result *result;
    sf_estimate at = {rise_k, sd_k};
    assert_int_equal(sf_parts_decide(&on->job, &at, &result), SF_OK);
    sf_verdict verdict = result[0].verdict;
    sf_part_results_free(result, 1);
    return verdict;
}

static void assert_past_agrees(stand *on, double absolute)
{
    loss_model of = look(on);
    assert_true(of.open);
    for (double rise_k = -3; rise_k < 60; rise_k += 4.7)
        for (double sd_k = 0.3; sd_k < 20; sd_k *= 2.3)
            assert_close(loss_past(&of, rise_k, sd_k), decided_past(on, rise_k, sd_k), 0, absolute);
}

/* Exact in one period above the floor; the floor costs a little far from the middle. */
static void past_life_is_that_of_the_decision(void **state)
{
    (void)state;
    stand on;
    stand_set(&on);
    assert_past_agrees(&on, 0.002);
    on.part.endurance_h = NAN; /* 1,000 h assumed, 35 % doubt */
    on.job.board.run_hours_sd_pct = 8;
    on.job.board.run_hours = 9100;
    assert_past_agrees(&on, 0.02);
}

/* A part whose life may be gone in the coldest place: computed, 18,500 h of the 1,000 2^4.5 h that
 * an assumed endurance of 35 % doubt lives at the floor of the law. */
static void past_life_begins_at_what_no_cold_can_help(void **state)
{
    (void)state;
    stand on;
    stand_set(&on);
    on.part.endurance_h = NAN;
    on.job.board.run_hours = 18500;
    loss_model of = look(&on);
    double sds = log(1000 * exp2(4.5) / 18500) / 0.35;
    assert_close(of.never, gsl_cdf_ugaussian_Q(sds), 1e-6, 0);
    assert_close(loss_past(&of, -40, 2.3), of.never, 0.01, 0);
    assert_close(loss_past(&of, 60, 2.3), 1, 1e-3, 0);
    assert_past_agrees(&on, 0.06); /* a normal step stands in for one cut at the floor */
}

/* A normal step stands in for the sum of several. */
static void past_life_with_a_history_is_nearly_that_of_the_decision(void **state)
{
    (void)state;
    stand on;
    sf_period periods[] = {{7000, 23, 1, ""}, {9000, 31, 0.6, ""}, {2500, 38, 1.2, ""}};
    stand_set(&on);
    on.job.periods = periods;
    on.job.period_count = 3;
    assert_past_agrees(&on, 0.03);
}

static double leave_cost(const verdict_costs *of, double past)
{
    return past * of->left_past;
}

static double check_cost(const verdict_costs *of, double past)
{
    return past * of->checked_past + (1 - past) * of->checked;
}

static double replace_cost(const verdict_costs *of, double past)
{
    return (1 - past) * of->needless;
}

static void verdicts_change_price_where_the_policy_switches(void **state)
{
    (void)state;
    sf_policy policy = usual_policy();
    policy.past_life_check = 0.07;
    policy.past_life_replace = 0.61;
    verdict_costs costs = costs_of(&policy, false);
    assert_close(costs.left_past, 1, 1e-12, 0);
    assert_close(leave_cost(&costs, 0.07), check_cost(&costs, 0.07), 1e-12, 0);
    /* at even odds that the goal is missed the meter is asked for */
    assert_close(costs.left_unmeasured / 2, check_cost(&costs, 0), 1e-12, 0);
    assert_close(check_cost(&costs, 0.61), replace_cost(&costs, 0.61), 1e-12, 0);
    assert_true(leave_cost(&costs, 0.069) < check_cost(&costs, 0.069));
    assert_true(replace_cost(&costs, 0.62) < check_cost(&costs, 0.62));
}

static void critical_part_switches_from_leave_to_replace(void **state)
{
    (void)state;
    sf_policy policy = usual_policy();
    policy.past_life_critical = 0.03;
    verdict_costs costs = costs_of(&policy, true);
    assert_close(leave_cost(&costs, 0.03), replace_cost(&costs, 0.03), 1e-12, 0);
    assert_true(costs.left_past > 2);
    for (double past = 0.001; past < 1; past += 0.013)
        assert_true(check_cost(&costs, past) >=
                    fmin(leave_cost(&costs, past), replace_cost(&costs, past)) - 1e-12);
}

static void thresholds_at_their_ends_still_have_a_price(void **state)
{
    (void)state;
    sf_policy policy = usual_policy();
    policy.past_life_check = 0;
    policy.past_life_replace = 1;
    policy.past_life_critical = 0;
    for (int critical = 0; critical < 2; critical++) {
        verdict_costs costs = costs_of(&policy, critical);
        assert_true(isfinite(costs.left_past) && costs.left_past > 0);
        assert_true(isfinite(costs.needless) && costs.needless > 0);
        assert_true(costs.checked > 0 && isfinite(costs.checked_past));
    }
}

static void meter_is_asked_for_from_the_rise_where_the_goal_is_missed(void **state)
{
    (void)state;
    stand on;
    stand_set(&on);
    on.job.board.service_goal_h = 21000;
    loss_model of = look(&on);
    assert_true(loss_past(&of, of.measure_from_k, 0.1) < 0.04);
    assert_int_equal(decided_verdict(&on, of.measure_from_k - 0.01, 0.1), SF_LEAVE);
    assert_int_equal(decided_verdict(&on, of.measure_from_k + 0.01, 0.1), SF_CHECK);
    on.part.duty = 0.4; /* the goal is of board hours, of which the part lives through fewer */
    on.job.board.service_goal_h = 70000;
    of = look(&on);
    assert_int_equal(decided_verdict(&on, of.measure_from_k - 0.01, 0.1), SF_LEAVE);
    assert_int_equal(decided_verdict(&on, of.measure_from_k + 0.01, 0.1), SF_CHECK);
    on.job.board.service_goal_h = on.job.policy.life_cap_h + 1;
    of = look(&on);
    assert_close(loss_measure(&of, -20, 3), 1, 1e-12, 0);
}

static void meter_is_asked_for_where_an_old_seal_has_seen_much(void **state)
{
    (void)state;
    stand on;
    stand_set(&on);
    on.part.year = 2001; /* 20 years */
    on.job.board.made_year = 2001;
    on.job.board.run_hours = 17000; /* half its life at 44.2 C */
    loss_model of = look(&on);
    assert_int_equal(decided_verdict(&on, of.measure_from_k - 0.01, 0.1), SF_LEAVE);
    assert_int_equal(decided_verdict(&on, of.measure_from_k + 0.01, 0.1), SF_CHECK);
}

static void heat_cannot_change_what_evidence_or_age_settles(void **state)
{
    (void)state;
    stand on;
    stand_set(&on);
    on.part.condition = SF_CONDITION_LEAKING;
    assert_false(look(&on).open);
    stand_set(&on);
    on.part.critical = true;
    assert_true(look(&on).open);
    on.job.board.made_year = 1999;
    assert_false(look(&on).open);
    stand_set(&on);
    on.job.board.run_hours = NAN; /* and no hours a year */
    assert_false(look(&on).open);
    stand_set(&on);
    on.part.duty = 0;
    assert_false(look(&on).open);
    stand_set(&on);
    on.job.board.run_hours = 400000; /* past its rated life at the floor of the law */
    assert_false(look(&on).open);
    stand_set(&on);
    on.part.measured_uf = 60; /* above tolerance: at best a check */
    assert_true(look(&on).open);
    assert_false(look(&on).may_leave);
}

static void cost_is_that_of_the_best_verdict(void **state)
{
    (void)state;
    stand on;
    stand_set(&on);
    on.job.board.service_goal_h = 6000;
    loss_model of = look(&on);
    double last = 0;
    for (double rise_k = 0; rise_k < of.middle_k; rise_k += 0.5) {
        double loss = loss_expected(&of, rise_k, 2.1);
        assert_true(loss >= last - 1e-12 && loss <= of.costs.checked + 1e-12);
        last = loss;
    }
    assert_close(loss_expected(&of, of.middle_k + 60, 2.1), 0, 0, 1e-6);
    /* in the middle half a needless replacement, or a check, costs the same */
    assert_close(loss_expected(&of, of.middle_k, 2.1), 0.05, 1e-9, 0);
}

typedef struct mean_to_come {
    const loss_model *of;
    double rise_k, moving_sd_k, left_sd_k;
} mean_to_come;

static double weighed_loss(double rise_k, void *context)
{
    const mean_to_come *at = context;
    return gsl_ran_gaussian_pdf(rise_k - at->rise_k, at->moving_sd_k) *
           loss_cost(at->of, rise_k, at->left_sd_k);
}

/* Adaptive integration of GSL; tolerance: the table steps a tenth of a deviation, and a
 * kink or step between two of them costs a little. */
static void expected_cost_is_the_integral_over_what_may_be_read(void **state)
{
    (void)state;
    stand on;
    stand_set(&on);
    on.job.board.service_goal_h = 6000;
    loss_model of = look(&on);
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(1000);
    for (double off_k = -14; off_k < 15; off_k += 5.3) {
        double losses[LOSS_LEVELS], sd_k = 6.4;
        loss_tabulate(&of, of.middle_k + off_k, sd_k, losses);
        for (size_t level = 0; level + 1 < LOSS_LEVELS; level += 6) {
            double share = (double)level / (LOSS_LEVELS - 1), expected, error;
            mean_to_come at = {&of, of.middle_k + off_k, sqrt(1 - share) * sd_k,
                               sqrt(share) * sd_k};
            gsl_function function = {weighed_loss, &at};
            assert_int_equal(gsl_integration_qag(&function, at.rise_k - 8 * at.moving_sd_k,
                                                 at.rise_k + 8 * at.moving_sd_k, 1e-9, 1e-7, 1000,
                                                 GSL_INTEG_GAUSS61, space, &expected, &error),
                             GSL_SUCCESS);
            assert_close(losses[level], expected, 0.03, 1e-4);
        }
        assert_close(losses[LOSS_LEVELS - 1], loss_cost(&of, of.middle_k + off_k, sd_k), 1e-9,
                     1e-12);
    }
    gsl_integration_workspace_free(space);
}

static void knowing_more_never_costs_more(void **state)
{
    (void)state;
    stand on;
    stand_set(&on);
    on.job.board.service_goal_h = 6000;
    for (int critical = 0; critical < 2; critical++) {
        on.part.critical = critical;
        loss_model of = look(&on);
        for (double off_k = -40; off_k < 41; off_k += 3.9) {
            double losses[LOSS_LEVELS], last = 0;
            loss_tabulate(&of, of.middle_k + off_k, 9.3, losses);
            for (double share = 0; share <= 1; share += 0.01) {
                double loss = loss_tabulated(losses, share);
                assert_true(loss >= last);
                last = loss;
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(past_life_is_that_of_the_decision),
        cmocka_unit_test(past_life_begins_at_what_no_cold_can_help),
        cmocka_unit_test(past_life_with_a_history_is_nearly_that_of_the_decision),
        cmocka_unit_test(verdicts_change_price_where_the_policy_switches),
        cmocka_unit_test(critical_part_switches_from_leave_to_replace),
        cmocka_unit_test(thresholds_at_their_ends_still_have_a_price),
        cmocka_unit_test(meter_is_asked_for_from_the_rise_where_the_goal_is_missed),
        cmocka_unit_test(meter_is_asked_for_where_an_old_seal_has_seen_much),
        cmocka_unit_test(heat_cannot_change_what_evidence_or_age_settles),
        cmocka_unit_test(cost_is_that_of_the_best_verdict),
        cmocka_unit_test(expected_cost_is_the_integral_over_what_may_be_read),
        cmocka_unit_test(knowing_more_never_costs_more),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
