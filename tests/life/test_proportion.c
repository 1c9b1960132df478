/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The interval of a proportion. */
#include "support/check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <math.h>

#include "spotfield/compare.h"

static void the_interval_meets_published_ones(void **state)
{
    (void)state;
    double low, high;
    /* W. J. Conover, Practical Nonparametric Statistics, 1971, p. 97, Mendel's 682 of 925 peas, as
     * printed in R's manual of binom.test (from memory) */
    assert_int_equal(sf_proportion_interval(682, 925, 0.95, &low, &high), SF_OK);
    assert_close(low, 0.7076683, 0, 6e-8);
    assert_close(high, 0.7654066, 0, 6e-8);
    /* computed from the formula: without success the upper end solves (1 - p)^n = 0.025 */
    assert_int_equal(sf_proportion_interval(0, 13, 0.95, &low, &high), SF_OK);
    assert_close(low, 0, 0, 0);
    assert_close(high, 1 - pow(0.025, 1 / 13.0), 1e-12, 0);
    assert_int_equal(sf_proportion_interval(17, 17, 0.90, &low, &high), SF_OK);
    assert_close(low, pow(0.05, 1 / 17.0), 1e-12, 0);
    assert_close(high, 1, 0, 0);
}

static void the_ends_of_the_interval_leave_exact_binomial_tails(void **state)
{
    (void)state;
    /* the definition of C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404, by GSL's
     * binomial distribution, which the function does not use */
    static const unsigned tried[][2] = {{1, 3}, {5, 7}, {11, 29}, {143, 150}};
    for (size_t i = 0; i < sizeof tried / sizeof *tried; i++) {
        double low, high;
        unsigned hits = tried[i][0], trials = tried[i][1];
        assert_int_equal(sf_proportion_interval(hits, trials, 0.95, &low, &high), SF_OK);
        assert_close(gsl_cdf_binomial_Q(hits - 1, low, trials), 0.025, 1e-8, 0);
        assert_close(gsl_cdf_binomial_P(hits, high, trials), 0.025, 1e-8, 0);
    }
}

static void an_interval_of_nothing_is_refused(void **state)
{
    (void)state;
    double low = 7, high = 8;
    assert_int_equal(sf_proportion_interval(0, 0, 0.95, &low, &high), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_proportion_interval(3, 2, 0.95, &low, &high), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_proportion_interval(1, 2, 1, &low, &high), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_proportion_interval(1, 2, NAN, &low, &high), SF_ERROR_ARGUMENT);
    assert_close(low, 7, 0, 0);
    assert_close(high, 8, 0, 0);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_interval_meets_published_ones),
        cmocka_unit_test(the_ends_of_the_interval_leave_exact_binomial_tails),
        cmocka_unit_test(an_interval_of_nothing_is_refused),
    };
    return cmocka_run_group_tests_name("proportion", tests, NULL, NULL);
}
