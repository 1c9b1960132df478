/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings as one Gaussian: the statistics of heat that nobody listed, priors and densities,
 * against closed forms. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>
#include <stdlib.h>

#include "field/bench.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static void white_heat_on_a_large_board_has_matern_covariance(void **state)
{
    (void)state;
    /* L 20 mm on 2 mm cells; places in the middle of 400 x 320 mm, 6 L and more from every edge */
    const double distances_mm[] = {0, 2, 10, 20, 40, 80};
    sf_observation seen[6];
    for (size_t i = 0; i < 6; i++)
        seen[i] = plain_observation("w", 161 + distances_mm[i], 161, 20, 1);
    bench set;
    bench_set(&set, 400, 320, 2, NULL, 0, seen, 6);
    green_functions green;
    assert_int_equal(green_functions_make(&set.data, set.matrix, 20, &green), SF_OK);
    /* F. Lindgren, H. Rue, J. Lindstroem, J. R. Stat. Soc. B 73 (2011) 423, and P. Whittle,
     * Biometrika 41 (1954) 434: variance tau^2/(4 pi kappa^2), here 1, correlation
     * kappa r K1(kappa r), kappa = 1/L; values from tables 9.8 of Abramowitz and Stegun */
    const double correlations[] = {1, 0.98538448, 0.82822056, 0.60190723, 0.27973176, 0.04993400};
    for (size_t i = 0; i < 6; i++) {
        double r = distances_mm[i] / 20;
        if (r > 0)
            assert_close(correlations[i], r * gsl_sf_bessel_K1(r), 1e-7, 0);
        /* waves are slower on a lattice: the variance is too large by
         * (cell/L)^2/8 (2 ln(pi L/cell) - 3/2), 0.7 % for cells of L/10 (computed from the spectral
         * density); from a spreading length on, short waves no longer matter */
        assert_close(green.white[i], correlations[i], 0, r < 1 ? 0.01 : 0.003);
    }
    green_functions_clear(&green);
    bench_clear(&set);
}

/* u - a = s / loss about a board in air that is warmer by a: without s every place is, by exactly
 * a, however losses differ. */
static void background_is_as_warm_everywhere(void **state)
{
    (void)state;
    sf_observation seen = plain_observation("b", 30, 20, 20, 1);
    bench set;
    bench_set(&set, 60, 45, 2.5, NULL, 0, &seen, 1);
    unsigned long seed = 19;
    for (size_t node = 0; node < set.laid->nodes; node++)
        set.data.loss[node] = 0.6 + 0.9 * next_uniform(&seed);
    green_functions green;
    assert_int_equal(green_functions_make(&set.data, set.matrix, 27, &green), SF_OK);
    for (size_t node = 0; node < set.laid->nodes; node++)
        assert_close(green.uniform[node], 1, 1e-10, 0);
    assert_close(green.uniform_at[0], 1, 1e-10, 0);
    green_functions_clear(&green);
    bench_clear(&set);
}

static void insulated_edges_inflate_the_variance(void **state)
{
    (void)state;
    const double places[5][2] = {{50, 40}, {0, 40}, {50, 0}, {0, 0}, {20, 20}};
    /* 100 x 80 mm, L 35 mm: sum of folded images of the free correlation, free variance 1; the
     * cosine series agrees in 6 digits (computed) */
    const double variances[5] = {2.185779, 3.142670, 2.848576, 4.366237, 2.911228};
    sf_observation seen[5];
    for (size_t i = 0; i < 5; i++)
        seen[i] = plain_observation("e", places[i][0], places[i][1], 20, 1);
    bench set;
    bench_set(&set, 100, 80, 1, NULL, 0, seen, 5);
    green_functions green;
    assert_int_equal(green_functions_make(&set.data, set.matrix, 35, &green), SF_OK);
    /* cells of L/35; at an edge the outermost centre stands, half a cell in */
    for (size_t i = 0; i < 5; i++)
        assert_close(green.white[i * 5 + i], variances[i], 0.002, 0);
    green_functions_clear(&green);
    bench_clear(&set);
}

/* Five places of an invented check on an endless board, moved to the middle of a large one. */
static const double gp_places[5][3] = {
    {10, 10, 12}, {50, 20, 25}, {30, 50, 18}, {80, 60, 9}, {70, 15, 20}};
#define GP_OFF_MM 151.25 /* readings at centres of cells */

static void set_gp_bench(bench *set, sf_observation seen[5])
{
    for (size_t i = 0; i < 5; i++)
        seen[i] = plain_observation("g", GP_OFF_MM + gp_places[i][0], GP_OFF_MM + gp_places[i][1],
                                    gp_places[i][2], 1);
    bench_set(set, 390, 370, 2.5, NULL, 0, seen, 5);
    set->data.background_k = 0; /* heat everywhere alone */
}

static void log_density_meets_a_process_on_the_endless_plane(void **state)
{
    (void)state;
    sf_observation seen[5];
    bench set;
    set_gp_bench(&set, seen);
    hyperparameters held = {
        .white_k = 10, .patch = 0, .noise = 1, .strength_k_mm2 = 1, .loss_w_m2k = 15};
    length_fit fit = bench_hold(&set, 35, &held);
    double work[5];
    /* free Matern process, nu 1, L 35 mm, deviation 10, noise 1, mean 0: log density -18.368306,
     * computed dense in NumPy; the constant in 2 pi is left out here. Cells of L/14 change the
     * covariances by 1 to 2 per mille, of 100 K2 */
    double density = gaussian_log_density(&fit.under, set.data.rise_k, work);
    assert_close(density - 2.5 * log(2 * M_PI), -18.368306, 0, 0.02);
    length_fit_clear(&fit);
    bench_clear(&set);
}

static void posterior_meets_a_process_on_the_endless_plane(void **state)
{
    (void)state;
    sf_observation seen[5];
    bench set;
    set_gp_bench(&set, seen);
    hyperparameters held = {
        .white_k = 10, .patch = 0, .noise = 1, .strength_k_mm2 = 1, .loss_w_m2k = 15};
    length_fit fit = bench_hold(&set, 35, &held);
    double *sd_k = bench_sd(&set, &fit);
    double *mean_k = calloc(set.laid->nodes, sizeof *mean_k);
    assert_non_null(mean_k);
    for (size_t i = 0; i < 5; i++)
        for (size_t node = 0; node < set.laid->nodes; node++)
            mean_k[node] += 100 * fit.green.node_variance * fit.weights[i] *
                            fit.green.adjoint[i * set.laid->nodes + node];
    assert_int_equal(balance_solve(set.matrix, mean_k, mean_k, 1), SF_OK);
    /* the same process: posterior mean and deviation, computed dense in NumPy. Cells of L/14
     * raise the variance by 0.5 of 100 K2, the largest of these deviations by 0.07 */
    const double table[][4] = {{30, 30, 20.138277, 4.265854},
                               {50, 20, 24.784090, 0.982134},
                               {60, 40, 19.233718, 4.804520},
                               {100, 80, 4.219928, 7.267021}};
    for (size_t i = 0; i < 4; i++) {
        grid_sample sample =
            grid_sample_at(set.laid, GP_OFF_MM + table[i][0], GP_OFF_MM + table[i][1]);
        assert_close(sample_value(&sample, mean_k), table[i][2], 0, 0.05);
        assert_close(sample_value(&sample, sd_k), table[i][3], 0, 0.08);
    }
    free(mean_k);
    free(sd_k);
    length_fit_clear(&fit);
    bench_clear(&set);
}

static void log_density_of_two_is_the_bivariate_normal(void **state)
{
    (void)state;
    gaussian two;
    assert_int_equal(gaussian_new(2, 0, &two), SF_OK);
    double a = 1.7, b = 0.43, correlation = -0.61, x = 2.3, y = -0.9, work[2];
    double covariance[4] = {a * a, correlation * a * b, correlation * a * b, b * b};
    for (size_t i = 0; i < 4; i++)
        two.covariance[i] = covariance[i];
    assert_int_equal(gaussian_refactor(&two), SF_OK);
    /* bivariate normal density, any text on probability; without the factor 2 pi */
    double rest = 1 - correlation * correlation;
    double expected =
        -log(a * b * sqrt(rest)) -
        (x * x / (a * a) - 2 * correlation * x * y / (a * b) + y * y / (b * b)) / (2 * rest);
    double residual[2] = {x, y};
    assert_close(gaussian_log_density(&two, residual, work), expected, 1e-13, 0);
    gaussian_invert(&two);
    assert_close(two.inverse[0], 1 / (a * a * rest), 1e-12, 0);
    assert_close(two.inverse[1], -correlation / (a * b * rest), 1e-12, 0);
    assert_close(two.inverse[2], -correlation / (a * b * rest), 1e-12, 0);
    assert_close(two.inverse[3], 1 / (b * b * rest), 1e-12, 0);
    gaussian_clear(&two);
}

static void covariance_that_is_none_is_a_numeric_error(void **state)
{
    (void)state;
    gaussian two;
    assert_int_equal(gaussian_new(2, 0, &two), SF_OK);
    const double wrong[3][4] = {{1, 2, 2, 1}, {1, NAN, NAN, 3}, {-1, 0, 0, 2}};
    for (size_t w = 0; w < 3; w++) {
        for (size_t i = 0; i < 4; i++)
            two.covariance[i] = wrong[w][i];
        assert_int_equal(gaussian_refactor(&two), SF_ERROR_NUMERIC);
    }
    gaussian_clear(&two);
}

static void hyperparameters_pass_through_logarithms_unchanged(void **state)
{
    (void)state;
    hyperparameters from = {0.37, 0.29, 1.43, 5310, 13.7, 0.17, 23.1, 0};
    double logs[HYPERPARAMETER_COUNT];
    hyperparameters_to_logs(&from, logs);
    hyperparameters back = hyperparameters_from_logs(logs);
    assert_close(back.white_k, 0.37, 1e-14, 0);
    assert_close(back.copper, 0.29, 1e-14, 0);
    assert_close(back.noise, 1.43, 1e-14, 0);
    assert_close(back.strength_k_mm2, 5310, 1e-14, 0);
    assert_close(back.loss_w_m2k, 13.7, 1e-14, 0);
    assert_close(back.off_share, 0.17, 1e-14, 0);
    assert_close(back.off_mm, 23.1, 1e-14, 0);
}

static void prior_of_each_scale_is_log_normal_about_its_median(void **state)
{
    (void)state;
    sf_observation seen = plain_observation("a", 13, 17, 21.3, 0.7);
    bench set;
    bench_set(&set, 60, 50, 2.5, NULL, 0, &seen, 1);
    hyperparameters median = hyperparameters_prior(&set.data);
    double top = hyperparameters_log_prior(&set.data, &median), logs[HYPERPARAMETER_COUNT];
    for (int i = 0; i < HYPERPARAMETER_COUNT; i++) {
        double drops[3];
        const double offs[3] = {-0.3, 0.3, 0.6};
        for (int k = 0; k < 3; k++) {
            hyperparameters_to_logs(&median, logs);
            logs[i] += offs[k];
            hyperparameters off = hyperparameters_from_logs(logs);
            drops[k] = top - hyperparameters_log_prior(&set.data, &off);
        }
        assert_true(drops[0] > 0);
        assert_close(drops[1], drops[0], 1e-9, 0);
        assert_close(drops[2], 4 * drops[0], 1e-9, 0);
    }
    hyperparameters one_off = median;
    one_off.loss_w_m2k *= exp(LOSS_SD_LN);
    assert_close(top - hyperparameters_log_prior(&set.data, &one_off), 0.5, 1e-12, 0);
    bench_clear(&set);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(white_heat_on_a_large_board_has_matern_covariance),
        cmocka_unit_test(background_is_as_warm_everywhere),
        cmocka_unit_test(insulated_edges_inflate_the_variance),
        cmocka_unit_test(log_density_meets_a_process_on_the_endless_plane),
        cmocka_unit_test(posterior_meets_a_process_on_the_endless_plane),
        cmocka_unit_test(log_density_of_two_is_the_bivariate_normal),
        cmocka_unit_test(covariance_that_is_none_is_a_numeric_error),
        cmocka_unit_test(hyperparameters_pass_through_logarithms_unchanged),
        cmocka_unit_test(prior_of_each_scale_is_log_normal_about_its_median),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
