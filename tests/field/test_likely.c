/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sources that likely stand somewhere: the doubt that they add at each place, and between places.
 */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

#include "field/expectation.h"
#include "field/joint.h"
#include "field/posterior.h"
#include "field/told_board.h"
#include "field/uncertainty.h"

static const double shares[CANDIDATES] = {0.55, 0.3}, strengths[CANDIDATES] = {9000, 5000},
                    variances[CANDIDATES] = {3e6, 2e6};

/* One effect that has found one of the two, or nothing; the others nothing. */
static void find_two(length_fit *fit, const candidates *from)
{
    assert_int_equal(unlisted_start(from, &fit->green, &fit->found), SF_OK);
    effect *one = &fit->found.effects[0];
    one->nothing = 1;
    for (size_t c = 0; c < CANDIDATES; c++) {
        one->share[c] = shares[c];
        one->mean[c] = strengths[c];
        one->variance[c] = variances[c];
        one->nothing -= shares[c];
    }
}

/* What the fit's answer to a reading of one kelvin more is at every node: W(x) of each reading,
 * since the mean is linear in what is read. */
static double *answers_to_each(told_board *set)
{
    size_t nodes = set->on.laid->nodes;
    double *made = calloc(READINGS * nodes, sizeof *made);
    assert_non_null(made);
    for (size_t turn = 0; turn <= READINGS; turn++) {
        length_average averaged;
        if (turn > 0)
            set->on.data.rise_k[turn - 1] += 1;
        length_average_one(set, &averaged);
        for (size_t node = 0; node < nodes; node++) {
            double rise_k = averaged.fits[0].mean.rise_k[node];
            for (size_t i = 0; i < READINGS; i++)
                if (turn == 0)
                    made[i * nodes + node] -= rise_k;
            if (turn > 0)
                made[(turn - 1) * nodes + node] += rise_k;
        }
        if (turn > 0)
            set->on.data.rise_k[turn - 1] -= 1;
        length_average_clear(&averaged);
    }
    return made;
}

/* Variance that one source of unsure place and strength adds: E[s^2] - E[s]^2 of what the readings
 * do not show of it. Computed from the formula. */
static double *dense_likely(told_board *set, const candidates *from, const length_fit *fit)
{
    size_t nodes = set->on.laid->nodes;
    double *answers = answers_to_each(set), *made = calloc(nodes, sizeof *made);
    double *field = calloc(CANDIDATES * nodes, sizeof *field);
    assert_true(made && field);
    for (size_t c = 0; c < CANDIDATES; c++)
        for (size_t s = 0; s < from->covers[c].count; s++)
            field[c * nodes + (size_t)from->covers[c].shares[s].node] =
                from->covers[c].shares[s].share / from->covers[c].area_mm2;
    assert_int_equal(balance_factor(set->on.matrix, fit->green.length_mm, set->on.data.loss),
                     SF_OK);
    assert_int_equal(balance_solve(set->on.matrix, field, field, CANDIDATES), SF_OK);
    for (size_t node = 0; node < nodes; node++) {
        double square = 0, mean = 0;
        for (size_t c = 0; c < CANDIDATES; c++) {
            double unseen = field[c * nodes + node];
            for (size_t i = 0; i < READINGS; i++)
                unseen -= sample_value(&set->on.data.samples[i], field + c * nodes) *
                          answers[i * nodes + node];
            square += shares[c] * (strengths[c] * strengths[c] + variances[c]) * unseen * unseen;
            mean += shares[c] * strengths[c] * unseen;
        }
        made[node] = square - mean * mean;
    }
    free(answers);
    free(field);
    return made;
}

static void a_likely_source_adds_the_doubt_of_its_place_and_strength(void **state)
{
    (void)state;
    told_board set;
    set_told(&set);
    candidates from = two_candidates(&set);
    length_fit fit = bench_hold(&set.on, held_length_mm, &held_hyperparameters);
    size_t nodes = set.on.laid->nodes;
    double own_k[CANDIDATES], *without = calloc(nodes, sizeof *without);
    double *with = calloc(nodes, sizeof *with);
    assert_true(with && without);
    assert_int_equal(uncertainty_add(&set.on.data, set.on.matrix, &fit, without, own_k, NULL),
                     SF_OK);
    find_two(&fit, &from);
    assert_int_equal(uncertainty_add(&set.on.data, set.on.matrix, &fit, with, own_k, NULL), SF_OK);
    double *expected = dense_likely(&set, &from, &fit), most = 0;
    for (size_t node = 0; node < nodes; node++) {
        most = fmax(most, expected[node] / without[node]);
        assert_close(with[node] - without[node], expected[node], 1e-7, 1e-7);
    }
    assert_true(most > 1); /* it is not little that is compared */
    free(with);
    free(without);
    free(expected);
    length_fit_clear(&fit);
    candidates_clear(&from);
    bench_clear(&set.on);
}

/* Places in the middle of cells, so that the variance of each is that of its node. */
static void a_likely_source_is_in_the_joint_doubt_as_in_that_of_each_place(void **state)
{
    (void)state;
    enum { PLACES = 4 };
    static const sf_place places[PLACES] = {{22.5, 22.5, false, 0},
                                            {37.5, 16.5, false, 0},
                                            {4.5, 40.5, false, 0},
                                            {31.5, 19.5, false, 0}};
    told_board set;
    length_average averaged;
    set_told(&set);
    candidates from = two_candidates(&set);
    length_average_one(&set, &averaged);
    find_two(&averaged.fits[0], &from);
    model_result result = result_new(&set);
    result.places = places;
    result.joint = joint_new(PLACES);
    assert_non_null(result.joint);
    assert_int_equal(judge_leave_one_out(&set.on.data, &averaged), SF_OK);
    assert_int_equal(dense_report(&set.on.data, set.on.matrix, &from, &averaged, &result), SF_OK);
    for (size_t p = 0; p < PLACES; p++) {
        int node = grid_nearest_node(set.on.laid, places[p].x_mm, places[p].y_mm);
        /* the variance of a node is a difference quotient */
        assert_close(result.joint->covariance_k2[p * PLACES + p], result.variance_k2[node], 1e-5,
                     0);
    }
    sf_joint_rise_free(result.joint);
    result_clear(&result);
    length_average_clear(&averaged);
    candidates_clear(&from);
    bench_clear(&set.on);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_likely_source_adds_the_doubt_of_its_place_and_strength),
        cmocka_unit_test(a_likely_source_is_in_the_joint_doubt_as_in_that_of_each_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
