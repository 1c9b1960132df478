/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The doubt of the field: what a further reading takes from it, and the lattice it is computed
 * on. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/bench.h"
#include "field/can_share.h"
#include "field/uncertainty.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* Twelve places on a board of 100 x 80 mm, read at a fit's own expectations and a little off. */
static void scatter(sf_observation *seen, size_t count, unsigned long seed)
{
    for (size_t i = 0; i < count; i++)
        seen[i] = plain_observation("s", 4 + 92 * next_uniform(&seed), 4 + 72 * next_uniform(&seed),
                                    18 + 9 * next_uniform(&seed), 0.4 + next_uniform(&seed));
}

static void one_more_reading_never_raises_the_doubt(void **state)
{
    (void)state;
    sf_source sources[2] = {plain_source("R1", 31, 27, 14, 6), plain_source("Q2", 71, 55, 9, 9)};
    sf_observation seen[13];
    scatter(seen, 13, 2024);
    hyperparameters held = {
        .white_k = 0.6, .patch = 0.08, .noise = 1.1, .strength_k_mm2 = 9000, .loss_w_m2k = 15};
    double *before = NULL;
    for (size_t count = 1; count <= 13; count += 3) {
        bench set;
        bench_set(&set, 100, 80, 2.5, sources, 2, seen, count);
        set.data.background_k = 11.3; /* the same for any number of readings */
        for (size_t node = 0; node < set.laid->nodes; node++)
            set.data.rise_guess_k[node] = 21.9;
        length_fit fit = bench_hold(&set, 28, &held);
        double *sd_k = bench_sd(&set, &fit);
        for (size_t node = 0; before && node < set.laid->nodes; node++)
            assert_true(sd_k[node] <= before[node] * (1 + 1e-9));
        free(before);
        before = sd_k;
        length_fit_clear(&fit);
        bench_clear(&set);
    }
    free(before);
}

/* Nine within 3 mm of one another on a board that spreads its heat far: about as sure as the mean
 * of nine, and no surer. */
static void many_readings_know_a_place_better_than_one(void **state)
{
    (void)state;
    const double sd_k = 0.5;
    hyperparameters held = {
        .white_k = 0.1, .patch = 0.01, .noise = 1, .strength_k_mm2 = 9000, .loss_w_m2k = 15};
    sf_observation seen[9];
    for (int i = 0; i < 9; i++)
        seen[i] = plain_observation("s", 48 + 1.5 * (i % 3), 38 + 1.5 * (i / 3), 20, sd_k);
    bench set;
    bench_set(&set, 100, 80, 2, NULL, 0, seen, 9);
    length_fit fit = bench_hold(&set, 40, &held);
    double *node_sd_k = bench_sd(&set, &fit), least = INFINITY;
    for (size_t node = 0; node < set.laid->nodes; node++)
        least = fmin(least, node_sd_k[node]);
    assert_true(least < 0.7 * sd_k);
    assert_true(least > 0.99 * sd_k / 3);
    free(node_sd_k);
    length_fit_clear(&fit);
    bench_clear(&set);
}

static void uncertainty_does_not_depend_on_what_was_read(void **state)
{
    (void)state;
    sf_observation seen[6];
    scatter(seen, 6, 17);
    hyperparameters held = {
        .white_k = 0.6, .patch = 0, .noise = 1.1, .strength_k_mm2 = 9000, .loss_w_m2k = 15};
    double *sds_k[2];
    for (int turn = 0; turn < 2; turn++) {
        bench set;
        bench_set(&set, 100, 80, 2.5, NULL, 0, seen, 6);
        set.data.background_k = 11.3;
        length_fit fit = bench_hold(&set, 28, &held);
        sds_k[turn] = bench_sd(&set, &fit);
        length_fit_clear(&fit);
        for (size_t i = 0; i < 6; i++)
            seen[i].rise_k = 60 - 1.7 * seen[i].rise_k;
        if (turn == 1)
            for (size_t node = 0; node < set.laid->nodes; node++)
                assert_close(sds_k[1][node], sds_k[0][node], 1e-12, 0);
        bench_clear(&set);
    }
    free(sds_k[0]);
    free(sds_k[1]);
}

/* Field of a fit, with its readings moved by some of their own uncertainties; one value a node. */
static double *field_moved_by(bench *set, length_fit *fit, const double *step_k)
{
    size_t readings = set->data.readings;
    double *field = calloc(set->laid->nodes, sizeof *field), kept[8];
    assert_non_null(field);
    memcpy(kept, fit->weights, readings * sizeof *kept);
    for (size_t i = 0; i < readings; i++)
        fit->weights[i] += dot(fit->under.inverse + i * readings, step_k, readings);
    memset(fit->mean.rise_k, 0, set->laid->nodes * sizeof *fit->mean.rise_k);
    assert_int_equal(length_fit_set_mean(&set->data, set->matrix, fit), SF_OK);
    memcpy(field, fit->mean.rise_k, set->laid->nodes * sizeof *field);
    memcpy(fit->weights, kept, readings * sizeof *kept);
    return field;
}

static void the_readings_part_of_the_doubt_is_what_moving_them_does(void **state)
{
    (void)state;
    sf_source sources[1] = {plain_source("R1", 31, 27, 14, 6)};
    sf_observation seen[7];
    scatter(seen, 7, 71);
    seen[2].method = seen[5].method = SF_METHOD_INFRARED;
    for (size_t i = 0; i < 7; i++) /* what the instrument has wrong of each reading */
        seen[i].common_k[seen[i].method] = 0.2 + 0.03 * (double)i;
    seen[3].in_fit = false;
    hyperparameters held = {
        .white_k = 0.6, .patch = 0.08, .noise = 1.3, .strength_k_mm2 = 9000, .loss_w_m2k = 15};
    bench set;
    bench_set(&set, 100, 80, 2.5, sources, 1, seen, 7);
    length_fit fit = bench_hold(&set, 28, &held);
    size_t nodes = set.laid->nodes;
    double *variance_k2 = calloc(nodes, sizeof(double)),
           *independent_k2 = calloc(nodes, sizeof(double));
    double *common_shift_k = calloc(SF_COMMON_COUNT * nodes, sizeof(double));
    double *with_cans_k = calloc(CANS_SHARED * nodes, sizeof(double));
    double *squares = calloc(nodes, sizeof(double)), *pulls = calloc(2 * nodes, sizeof(double));
    assert_true(variance_k2 && independent_k2 && common_shift_k && squares && pulls);
    const reading_part part = {independent_k2, common_shift_k, with_cans_k};
    assert_int_equal(uncertainty_add(&set.data, set.matrix, &fit, variance_k2, NULL, &part), SF_OK);
    assert_int_equal(balance_factor(set.matrix, 28, set.data.loss), SF_OK);
    double none[8] = {0}, *still = field_moved_by(&set, &fit, none);
    const int of_observation[6] = {0, 1, 2, 4, 5, 6}; /* those in the fit */
    for (size_t i = 0; i < 6; i++) {
        const sf_observation *one = &seen[of_observation[i]];
        double step_k[8] = {0};
        step_k[i] = one->common_k[one->method];
        double *moved = field_moved_by(&set, &fit, step_k);
        for (size_t node = 0; node < nodes; node++) {
            pulls[(one->method == SF_METHOD_INFRARED ? nodes : 0) + node] +=
                moved[node] - still[node];
        }
        free(moved);
    }
    /* computed from the definition; weights pass through one solve more, rounding of that */
    for (size_t node = 0; node < nodes; node++) {
        squares[node] = pulls[node] * pulls[node] + pulls[nodes + node] * pulls[nodes + node];
        assert_close(independent_k2[node], squares[node], 1e-6, 1e-10);
        assert_close(common_shift_k[SF_METHOD_THERMOCOUPLE_K * nodes + node], pulls[node], 1e-6,
                     1e-8);
        assert_close(common_shift_k[SF_METHOD_INFRARED * nodes + node], pulls[nodes + node], 1e-6,
                     1e-8);
        assert_true(independent_k2[node] <= variance_k2[node] * (1 + 1e-9));
    }
    free(still);
    free(variance_k2);
    free(independent_k2);
    free(common_shift_k);
    free(with_cans_k);
    free(squares);
    free(pulls);
    length_fit_clear(&fit);
    bench_clear(&set);
}

/* Largest and least ratio of a deviation to that by one solution for every cell, without a lattice:
 * C(x,x) - C(x,r) C(r,r)^-1 C(r,x) of heat everywhere alone. */
static void ratios_to_every_cell(bench *set, double length_mm, double *least, double *most)
{
    hyperparameters held = {
        .white_k = 2, .patch = 0, .noise = 1, .strength_k_mm2 = 1, .loss_w_m2k = 15};
    length_fit fit = bench_hold(set, length_mm, &held);
    size_t nodes = set->laid->nodes, readings = set->data.readings;
    double *sd_k = bench_sd(set, &fit), *field = calloc(nodes, sizeof *field);
    assert_non_null(field);
    double heat_k2 = 4 * fit.green.node_variance, with[8];
    assert_int_equal(balance_factor(set->matrix, length_mm, set->data.loss), SF_OK);
    *least = INFINITY;
    *most = 0;
    for (size_t node = 0; node < nodes; node++) {
        memset(field, 0, nodes * sizeof *field);
        field[node] = 1;
        assert_int_equal(balance_solve(set->matrix, field, field, 1), SF_OK);
        double variance = heat_k2 * dot(field, field, nodes);
        for (size_t i = 0; i < readings; i++)
            with[i] = heat_k2 * dot(field, fit.green.adjoint + i * nodes, nodes);
        for (size_t i = 0; i < readings; i++)
            variance -= with[i] * dot(fit.under.inverse + i * readings, with, readings);
        *least = fmin(*least, sd_k[node] / sqrt(variance));
        *most = fmax(*most, sd_k[node] / sqrt(variance));
    }
    free(field);
    free(sd_k);
    length_fit_clear(&fit);
}

static void uncertainty_is_that_of_every_cell_alone(void **state)
{
    (void)state;
    sf_observation seen[5];
    scatter(seen, 5, 404);
    bench set;
    bench_set(&set, 80, 60, 2.5, NULL, 0, seen, 5);
    set.data.background_k = 0;
    double least, most;
    ratios_to_every_cell(&set, 21, &least, &most);
    /* if the prior's variance is interpolated, then so finely that a doubt is true to 3 % */
    assert_true(least > 0.97 && most < 1.03);
    bench_cut(&set, 38, -1, 38.3, 47);
    set.data.background_k = 0;
    ratios_to_every_cell(&set, 21, &least, &most);
    assert_true(least > 0.97 && most < 1.03);
    bench_clear(&set);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_more_reading_never_raises_the_doubt),
        cmocka_unit_test(many_readings_know_a_place_better_than_one),
        cmocka_unit_test(uncertainty_does_not_depend_on_what_was_read),
        cmocka_unit_test(the_readings_part_of_the_doubt_is_what_moving_them_does),
        cmocka_unit_test(uncertainty_is_that_of_every_cell_alone),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
