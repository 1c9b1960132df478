/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a fit tells beside its mean: doubt of strengths and background, the bound that
 * hyperparameters are judged by, and what is expected before any reading. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/expectation.h"
#include "field/joint.h"
#include "field/posterior.h"
#include "field/told_board.h"
#include "field/uncertainty.h"

enum { UNKNOWNS = 1 + SOURCES };

static void invert(double *matrix, size_t count)
{
    gsl_matrix_view view = gsl_matrix_view_array(matrix, count, count);
    assert_int_equal(gsl_linalg_cholesky_decomp1(&view.matrix), GSL_SUCCESS);
    assert_int_equal(gsl_linalg_cholesky_invert(&view.matrix), GSL_SUCCESS);
}

/* Posterior of background and strengths by their precision, P + G' V^-1 G with V all that is not
 * theirs: the other way round than the code. */
static void dense_unknowns(const told_board *set, const length_fit *fit, double *covariance)
{
    const green_functions *green = &fit->green;
    double other[READINGS * READINGS], columns[UNKNOWNS][READINGS], prior_sd[UNKNOWNS];
    for (size_t i = 0; i < READINGS; i++) {
        columns[0][i] = green->uniform_at[i];
        for (size_t j = 0; j < SOURCES; j++)
            columns[1 + j][i] = green->source_at[i * SOURCES + j];
        for (size_t k = 0; k < READINGS; k++)
            other[i * READINGS + k] =
                held_hyperparameters.white_k * held_hyperparameters.white_k *
                    green->white[i * READINGS + k] +
                held_hyperparameters.patch * held_hyperparameters.patch *
                    green->patch[i * READINGS + k] +
                (i == k ? reading_variance_k2(&set->on.data, &held_hyperparameters, i) : 0);
    }
    prior_sd[0] = set->on.data.background_k;
    for (size_t j = 0; j < SOURCES; j++)
        prior_sd[1 + j] = fit->under.strength_sd[j];
    invert(other, READINGS);
    for (size_t c = 0; c < UNKNOWNS; c++)
        for (size_t d = 0; d < UNKNOWNS; d++) {
            double sum = c == d ? 1 / (prior_sd[c] * prior_sd[c]) : 0;
            for (size_t i = 0; i < READINGS; i++)
                for (size_t k = 0; k < READINGS; k++)
                    sum += columns[c][i] * other[i * READINGS + k] * columns[d][k];
            covariance[c * UNKNOWNS + d] = sum;
        }
    invert(covariance, UNKNOWNS);
}

static void strengths_and_background_are_as_unsure_as_dense_algebra_says(void **state)
{
    (void)state;
    told_board set;
    length_average averaged;
    double covariance[UNKNOWNS * UNKNOWNS];
    set_told(&set);
    candidates from = two_candidates(&set); /* neither of which is found */
    length_average_one(&set, &averaged);
    assert_int_equal(unlisted_start(&from, &averaged.fits[0].green, &averaged.fits[0].found),
                     SF_OK);
    model_result result = result_new(&set);
    assert_int_equal(judge_leave_one_out(&set.on.data, &averaged), SF_OK);
    assert_int_equal(dense_report(&set.on.data, set.on.matrix, &from, &averaged, &result), SF_OK);
    const length_fit *fit = &averaged.fits[0];
    dense_unknowns(&set, fit, covariance);
    assert_close(result.summary.background_k.sd, sqrt(covariance[0]), 1e-9, 0);
    assert_int_equal(result.source_count, SOURCES);
    for (size_t j = 0; j < SOURCES; j++) {
        double sd = sqrt(covariance[(1 + j) * (UNKNOWNS + 1)]), own = fit->green.own[j];
        const sf_source_fit *source = &result.sources[j];
        assert_close(source->rise_k.sd, sd * own, 1e-9, 0);
        /* watts are strength times loss: relative doubts of a product add in squares, JCGM
         * 100:2008, 5.1.6 */
        double relative = hypot(source->rise_k.sd / source->rise_k.value, 0.19);
        assert_close(source->power_w.sd, fabs(source->power_w.value) * relative, 1e-9, 0);
        assert_close(source->power_w.value, source->rise_k.value / own * 14e-6, 1e-9, 0);
    }
    result_clear(&result);
    length_average_clear(&averaged);
    candidates_clear(&from);
    bench_clear(&set.on);
}

/* --- what hyperparameters are judged by --- */

/* Lower bound of the log evidence times the prior: the expectation of the Gaussian's log density
 * over sources that are unsure (half a trace below that at their mean), and what the effects add.
 * Textbook variational inference, computed from the formula. */
static double bound_at(told_board *set, const length_fit *fit, const hyperparameters *at)
{
    length_fit other = bench_hold(&set->on, held_length_mm, at);
    double mean_at[READINGS], residual[READINGS], work[READINGS];
    unlisted_mean_at(&fit->found, mean_at);
    for (size_t i = 0; i < READINGS; i++)
        residual[i] = set->on.data.rise_k[i] - other.under.expected[i] - mean_at[i];
    double trace = 0;
    for (size_t i = 0; i < READINGS; i++)
        for (size_t j = 0; j < READINGS; j++) {
            double spread = fit->found.second_at[j * READINGS + i];
            for (int k = 0; k < EFFECT_COUNT; k++)
                spread -= fit->found.effects[k].mean_at[i] * fit->found.effects[k].mean_at[j];
            trace += other.under.inverse[i * READINGS + j] * spread;
        }
    double bound = gaussian_log_density(&other.under, residual, work) - trace / 2 +
                   fit->found.bound + hyperparameters_log_prior(&set->on.data, at);
    length_fit_clear(&other);
    return bound;
}

static void a_fit_is_judged_by_its_bound_and_doubts_the_loss_by_its_bend(void **state)
{
    (void)state;
    told_board set;
    candidates from;
    length_fit fit;
    set_told(&set);
    set.sources[0].power_w = 0.31; /* known watts tell the loss */
    set.sources[0].mount = SF_MOUNT_FLAT;
    set.seen[1].rise_k = set.on.data.rise_k[1] = 71; /* something is there that nobody listed */
    assert_int_equal(candidates_make(&set.on.data, &from), SF_OK);
    hyperparameters start = hyperparameters_prior(&set.on.data);
    assert_int_equal(
        length_fit_make(&set.on.data, set.on.matrix, held_length_mm, &start, &from, &fit), SF_OK);
    assert_true(fit.found.effects[0].nothing < 0.9);
    double off = log(held_length_mm / set.on.data.built.length_mm) / LENGTH_SD_LN, values[3];
    for (int i = 0; i < 3; i++) {
        hyperparameters at = fit.fitted;
        at.loss_w_m2k *= exp((i - 1) * 0.1);
        values[i] = bound_at(&set, &fit, &at);
    }
    assert_close(fit.log_posterior, values[1] - off * off / 2, 1e-9, 0);
    /* a normal posterior of variance v bends by 1 / v */
    double sd_ln = 0.1 / sqrt(2 * values[1] - values[0] - values[2]);
    assert_true(sd_ln < 0.95 * LOSS_SD_LN);
    assert_close(fit.loss_sd_ln, sd_ln, 1e-6, 0);
    length_fit_clear(&fit);
    candidates_clear(&from);
    bench_clear(&set.on);
}

/* --- before any reading --- */

/* Strength that is expected of a typical source, and ln of what a doubt of it stands for. */
static double expect(told_board *set, double *spread_ln)
{
    candidates from;
    length_average averaged;
    assert_int_equal(candidates_make(&set->on.data, &from), SF_OK);
    assert_int_equal(length_average_expect(&set->on.data, set->on.matrix, &from, &averaged), SF_OK);
    double strength = averaged.fits[0].fitted.strength_k_mm2;
    double high = 0, low = INFINITY;
    for (size_t i = 0; i < averaged.count; i++) {
        const hyperparameters *at = &averaged.fits[i].fitted;
        high = fmax(high, at->strength_k_mm2);
        low = fmin(low, at->strength_k_mm2);
        /* a board that runs warmer has more heat or loses less of it */
        assert_true((at->strength_k_mm2 - strength) *
                        (at->loss_w_m2k - averaged.fits[0].fitted.loss_w_m2k) <=
                    0);
    }
    *spread_ln = log(high / low);
    length_average_clear(&averaged);
    candidates_clear(&from);
    return strength;
}

/* Watts of a small and of a large source that both say what is expected anyway change nothing but
 * how surely: a mean of three has a third of the variance of one. */
static void watts_that_agree_make_what_is_expected_surer(void **state)
{
    (void)state;
    told_board set;
    double spread_ln, surer_ln;
    set_told(&set);
    set.sources[0].width_mm = set.sources[0].height_mm = 3;
    set.sources[1].width_mm = set.sources[1].height_mm = 17;
    fit_data_clear(&set.on.data);
    set.on.input.observation_count = 0;
    assert_int_equal(fit_data_gather(&set.on.input, set.on.laid, &set.on.data), SF_ERROR_DATA);
    double strength = expect(&set, &spread_ln);
    green_functions green;
    for (size_t node = 0; node < set.on.laid->nodes; node++)
        set.on.data.loss[node] = 1; /* as at a first look */
    assert_int_equal(
        green_functions_make(&set.on.data, set.on.matrix, set.on.data.built.length_mm, &green),
        SF_OK);
    assert_true(green.own[0] > 1.5 * green.own[1]);
    for (size_t j = 0; j < SOURCES; j++)
        set.sources[j].power_w = strength * sqrt(green.own_median / green.own[j]) *
                                 set.on.data.built.loss_w_m2k * 1e-6 / 0.55; /* share let in */
    assert_close(expect(&set, &surer_ln), strength, 1e-9, 0);
    assert_close(surer_ln, spread_ln / sqrt(3), 1e-9, 0);
    green_functions_clear(&green);
    bench_clear(&set.on);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strengths_and_background_are_as_unsure_as_dense_algebra_says),
        cmocka_unit_test(a_fit_is_judged_by_its_bound_and_doubts_the_loss_by_its_bend),
        cmocka_unit_test(watts_that_agree_make_what_is_expected_surer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
