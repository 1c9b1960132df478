/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The field at several places taken together: against dense algebra, and against what one more
 * reading takes. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/bench.h"
#include "field/joint.h"

enum { PLACES = 7, READINGS = 5 };

#define LENGTH_MM 13.7

/* Off centres of cells, on and off sources, at an edge. */
static const sf_place places[PLACES] = {
    {11.3, 9.2, false, 0}, {22.9, 17.4, false, 0}, {23.8, 18.8, false, 0}, {37.1, 24.6, false, 0},
    {45.9, 5.7, false, 0}, {6.4, 28.3, false, 0},  {31.2, 12.1, false, 0}};

/* A board of 48 x 32 mm with two sources, hyperparameters and length held. */
typedef struct stand {
    sf_source sources[2];
    sf_observation seen[READINGS];
    bench set;
    length_average held;
    model_result result;
} stand;

static void stand_set(stand *made, size_t readings)
{
    static const double read[READINGS][3] = {{8.7, 7.1, 9.4},
                                             {24.3, 19.2, 21.8},
                                             {40.6, 26.3, 7.3},
                                             {44.1, 9.9, 13.2},
                                             {6.4, 28.3, 8.8}};
    *made = (stand){.sources = {plain_source("R1", 24, 18, 9, 6), plain_source("Q2", 43, 8, 6, 6)}};
    for (size_t i = 0; i < READINGS; i++)
        made->seen[i] = plain_observation("r", read[i][0], read[i][1], read[i][2], 0.7);
    bench_set(&made->set, 48, 32, 2.1, made->sources, 2, made->seen, readings);
    bench_without_peaks(&made->set);
    made->set.data.background_k = 6.3;
    for (size_t node = 0; node < made->set.laid->nodes; node++)
        made->set.data.rise_guess_k[node] = 9.1; /* whatever was read */
    for (size_t link = 0; link < made->set.laid->link_count; link++)
        made->set.data.copper.drop_k[link] = sin(0.37 * (double)link);
    hyperparameters held = {.white_k = 0.9,
                            .patch = 0.08,
                            .copper = 0.31,
                            .noise = 1.2,
                            .strength_k_mm2 = 5100,
                            .loss_w_m2k = 14.2};
    made->held = (length_average){.count = 1, .weights = {1}};
    made->held.fits[0] = bench_hold(&made->set, LENGTH_MM, &held);
    length_fit *fit = &made->held.fits[0];
    assert_int_equal(length_fit_set_mean(&made->set.data, made->set.matrix, fit), SF_OK);
    made->result = (model_result){.mean = fit->mean, .places = places, .joint = joint_new(PLACES)};
    assert_non_null(made->result.joint);
    assert_int_equal(joint_fill(&made->set.data, made->set.matrix, &made->held, &made->result),
                     SF_OK);
}

static void stand_clear(stand *made)
{
    sf_joint_rise_free(made->result.joint);
    length_average_clear(&made->held);
    bench_clear(&made->set);
}

/* Inverse of the balance, by elimination on the dense matrix; freed by the caller. */
static double *dense_inverse(const stand *made)
{
    size_t nodes = made->set.laid->nodes;
    double *matrix = dense_balance(made->set.laid, LENGTH_MM, made->set.data.loss);
    gsl_matrix_view whole = gsl_matrix_view_array(matrix, nodes, nodes);
    assert_int_equal(gsl_linalg_cholesky_decomp1(&whole.matrix), GSL_SUCCESS);
    assert_int_equal(gsl_linalg_cholesky_invert(&whole.matrix), GSL_SUCCESS);
    return matrix;
}

/* The part of uneven copper in it, link by link. */
static double dense_copper(const stand *made, const double *inverse, grid_sample a, grid_sample b)
{
    const copper_lattice *lattice = &made->set.data.copper;
    const size_t corner[4] = {0, 1, lattice->columns, lattice->columns + 1};
    double change[2][COPPER_KNOTS_MOST] = {{0}}, steps = LENGTH_MM / made->set.laid->cell_mm;
    double copper = made->held.fits[0].fitted.copper, sum = 0;
    size_t nodes = made->set.laid->nodes;
    for (size_t link = 0; link < made->set.laid->link_count; link++) {
        const double *first = inverse + (size_t)made->set.laid->links[link].first * nodes;
        const double *second = inverse + (size_t)made->set.laid->links[link].second * nodes;
        double moved = steps * steps * lattice->drop_k[link];
        for (int k = 0; k < 4; k++) {
            size_t knot = lattice->knot_of_link[link] + corner[k];
            double part = moved * lattice->weights[4 * link + (size_t)k];
            change[0][knot] += part * (sample_value(&a, first) - sample_value(&a, second));
            change[1][knot] += part * (sample_value(&b, first) - sample_value(&b, second));
        }
    }
    for (size_t knot = 0; knot < lattice->knots; knot++)
        sum += copper * copper * change[0][knot] * change[1][knot];
    return sum;
}

/* Prior covariance between two samples of the field, every heat summed one by one. */
static double dense_covariance(const stand *made, const double *inverse, grid_sample a,
                               grid_sample b)
{
    const fit_data *data = &made->set.data;
    const length_fit *fit = &made->held.fits[0];
    size_t nodes = data->laid->nodes;
    double sum = 0, steps = LENGTH_MM / data->laid->cell_mm, uniform[2] = {0};
    double source[2][2] = {{0}};
    for (size_t node = 0; node < nodes; node++) {
        double at[2] = {sample_value(&a, inverse + node * nodes),
                        sample_value(&b, inverse + node * nodes)};
        double patch_k = fit->fitted.patch * data->rise_guess_k[node];
        /* white heat of unit field variance on an endless board: 4 pi L^2 a cell area */
        sum += 4 * M_PI * steps * steps *
               (fit->fitted.white_k * fit->fitted.white_k + patch_k * patch_k) * at[0] * at[1];
        for (int which = 0; which < 2; which++)
            uniform[which] += at[which];
        for (int j = 0; j < 2; j++)
            for (size_t s = 0; s < data->covers[j].count; s++)
                if (data->covers[j].shares[s].node == (int)node)
                    for (int which = 0; which < 2; which++)
                        source[j][which] +=
                            at[which] * data->covers[j].shares[s].share / data->covers[j].area_mm2;
    }
    sum += data->background_k * data->background_k * uniform[0] * uniform[1];
    for (int j = 0; j < 2; j++)
        sum += fit->under.strength_sd[j] * fit->under.strength_sd[j] * source[j][0] * source[j][1];
    return sum + dense_copper(made, inverse, a, b);
}

/* The joint covariance of all samples, readings first, conditioned on the readings. */
static void dense_posterior(const stand *made, size_t readings, double *posterior)
{
    size_t count = readings + PLACES;
    double *inverse = dense_inverse(made), all[READINGS + PLACES][READINGS + PLACES];
    grid_sample samples[READINGS + PLACES];
    for (size_t i = 0; i < count; i++)
        samples[i] = i < readings ? made->set.data.samples[i]
                                  : grid_sample_at(made->set.laid, places[i - readings].x_mm,
                                                   places[i - readings].y_mm);
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            all[i][k] = dense_covariance(made, inverse, samples[i], samples[k]);
    /* readings one by one: noise 1.2 times 0.7 K each */
    for (size_t i = 0; i < readings; i++) {
        double read = all[i][i] + pow(1.2 * 0.7, 2), row[READINGS + PLACES];
        for (size_t k = 0; k < count; k++)
            row[k] = all[i][k];
        for (size_t p = 0; p < count; p++)
            for (size_t q = 0; q < count; q++)
                all[p][q] -= row[p] * row[q] / read;
    }
    for (size_t p = 0; p < PLACES; p++)
        for (size_t q = 0; q < PLACES; q++)
            posterior[p * PLACES + q] = all[readings + p][readings + q];
    free(inverse);
}

static void covariance_is_that_of_dense_algebra(void **state)
{
    (void)state;
    stand made;
    double expected[PLACES * PLACES];
    stand_set(&made, READINGS);
    dense_posterior(&made, READINGS, expected);
    for (size_t i = 0; i < PLACES * PLACES; i++)
        assert_close(made.result.joint->covariance_k2[i], expected[i], 1e-7, 1e-9);
    stand_clear(&made);
}

static void one_more_reading_takes_what_the_formula_says(void **state)
{
    (void)state;
    stand fewer, more;
    stand_set(&fewer, READINGS - 1);
    stand_set(&more, READINGS); /* the last reading is at place 5 */
    const double *before = fewer.result.joint->covariance_k2;
    double read_k2 = before[5 * PLACES + 5] + pow(1.2 * 0.7, 2);
    for (size_t p = 0; p < PLACES; p++)
        for (size_t q = 0; q < PLACES; q++) {
            double taken = before[p * PLACES + 5] * before[5 * PLACES + q] / read_k2;
            assert_close(more.result.joint->covariance_k2[p * PLACES + q],
                         before[p * PLACES + q] - taken, 1e-7, 1e-9);
        }
    stand_clear(&fewer);
    stand_clear(&more);
}

static void lengths_that_disagree_add_their_spread(void **state)
{
    (void)state;
    stand made;
    stand_set(&made, READINGS);
    double alone[PLACES * PLACES];
    peaked_field *first = &made.held.fits[0].mean, *other = &made.held.fits[1].mean, mean;
    assert_true(peaked_field_new(&made.set.data, other));
    assert_true(peaked_field_new(&made.set.data, &mean));
    for (size_t j = 0; j < made.set.input.source_count; j++)
        other->peak_k[j] = mean.peak_k[j] = first->peak_k[j];
    memcpy(alone, made.result.joint->covariance_k2, sizeof alone);
    memset(made.result.joint->covariance_k2, 0, sizeof alone);
    /* a second length of weight 0.3 whose mean is off by 2 K where x is above 24 mm */
    for (size_t node = 0; node < made.set.laid->nodes; node++)
        other->rise_k[node] =
            first->rise_k[node] +
            (cell_x_mm(made.set.laid, made.set.laid->cell_of_node[node]) > 24 ? 2 : 0);
    made.held.weights[0] = 0.7;
    made.held.weights[1] = 0.3;
    made.held.count = 2;
    for (size_t node = 0; node < made.set.laid->nodes; node++)
        mean.rise_k[node] = 0.7 * first->rise_k[node] + 0.3 * other->rise_k[node];
    made.result.mean = mean;
    assert_int_equal(joint_fill(&made.set.data, made.set.matrix, &made.held, &made.result), SF_OK);
    /* places 3 and 6 lie well to the right, 0 to the left: 0.7 0.3 2^2 K2 between the first two */
    const double *both = made.result.joint->covariance_k2;
    assert_close(both[3 * PLACES + 6] - alone[3 * PLACES + 6], 0.84, 1e-9, 0);
    assert_close(both[0 * PLACES + 6] - alone[0 * PLACES + 6], 0, 0, 1e-9);
    peaked_field_clear(&mean);
    stand_clear(&made);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(covariance_is_that_of_dense_algebra),
        cmocka_unit_test(one_more_reading_takes_what_the_formula_says),
        cmocka_unit_test(lengths_that_disagree_add_their_spread),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
