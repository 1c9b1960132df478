/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Shares, strengths and evidence of heat that nobody listed, held against numerical integration. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <math.h>

#include "field/hunt.h"

/* A strength's density with the likelihood over that of nothing, and its moments. */
typedef struct integrand {
    double prior_mean, projection, precision;
    double at_peak; /* log of the density at its highest, to keep numbers small */
    int power;
} integrand;

static double density(double strength, void *parameters)
{
    const integrand *of = parameters;
    double log_value = -log(of->prior_mean) - strength / of->prior_mean +
                       of->projection * strength - of->precision * strength * strength / 2;
    return pow(strength, of->power) * exp(log_value - of->at_peak);
}

static double integrate(integrand of, int power, gsl_integration_workspace *space)
{
    double value, error, spread = 1 / sqrt(of.precision);
    double centre = fmax((of.projection - 1 / of.prior_mean) / of.precision, 0);
    of.power = power;
    gsl_function function = {density, &of};
    double low = fmax(centre - 14 * spread, 0);
    double high = centre + fmin(14 * spread, 60 * of.prior_mean);
    assert_int_equal(gsl_integration_qag(&function, low, high, 0, 1e-10, 1000, GSL_INTEG_GAUSS61,
                                         space, &value, &error),
                     GSL_SUCCESS);
    return value;
}

static void strengths_and_shares_are_those_of_numerical_integration(void **state)
{
    (void)state;
    hunt made;
    hunt_set(&made, 1);
    for (int again = 0; again < 6; again++)
        update(&made); /* until nothing moves */
    const unlisted *found = &made.fit.found;
    const effect *one = likeliest(found);
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(1000);
    double mean_at[READINGS], log_ratio_of_first = NAN;
    size_t checked = 0;
    unlisted_mean_at(found, mean_at);
    for (size_t c = 0; c < made.from.count; c++) {
        if (one->share[c] < 1e-4 && c % 37 != 5)
            continue;
        const double *at = found->at_readings + c * READINGS;
        integrand of = {.prior_mean = made.fit.fitted.strength_k_mm2};
        for (size_t i = 0; i < READINGS; i++)
            for (size_t k = 0; k < READINGS; k++) {
                double weight = made.fit.under.inverse[i * READINGS + k];
                double left = made.set.data.rise_k[k] - made.fit.under.expected[k] - mean_at[k] +
                              one->mean_at[k];
                of.projection += at[i] * weight * left;
                of.precision += at[i] * weight * at[k];
            }
        double centre = fmax((of.projection - 1 / of.prior_mean) / of.precision, 0);
        of.at_peak = of.projection * centre - of.precision * centre * centre / 2 -
                     centre / of.prior_mean - log(of.prior_mean);
        double total = integrate(of, 0, space), first = integrate(of, 1, space) / total;
        double second = integrate(of, 2, space) / total;
        assert_close(one->mean[c], first, 1e-4, 0);
        assert_close(one->variance[c], second - first * first, 1e-3, 0);
        /* shares stand as prior times evidence */
        double log_ratio = log(one->share[c] / made.from.prior[c]) - log(total) - of.at_peak;
        if (checked++ == 0)
            log_ratio_of_first = log_ratio;
        assert_close(log_ratio, log_ratio_of_first, 0, 0.01);
    }
    assert_true(checked > 10);
    gsl_integration_workspace_free(space);
    hunt_clear(&made);
}

/* One reading and one candidate, so that all can be summed and integrated. */
typedef struct lone {
    sf_point centre;
    double side_mm, prior, contribution, rise_k;
    candidates from;
    gaussian under;
    unlisted found;
} lone;

static void lone_set(lone *made, double rise_k, double sd_k)
{
    *made =
        (lone){.centre = {10, 10}, .side_mm = 10, .prior = 1, .contribution = 1, .rise_k = rise_k};
    made->from = (candidates){
        .count = 1, .centres = &made->centre, .sides_mm = &made->side_mm, .prior = &made->prior};
    static cell_share whole = {0, 1};
    static footprint cover = {&whole, 1, 1};
    made->from.covers = &cover;
    green_functions green = {.nodes = 1, .readings = 1, .adjoint = &made->contribution};
    assert_int_equal(unlisted_start(&made->from, &green, &made->found), SF_OK);
    assert_int_equal(gaussian_new(1, 0, &made->under), SF_OK);
    made->under.covariance[0] = sd_k * sd_k;
    assert_int_equal(gaussian_refactor(&made->under), SF_OK);
    gaussian_invert(&made->under);
}

static void lone_clear(lone *made)
{
    unlisted_clear(&made->found);
    gaussian_clear(&made->under);
}

/* Prior chance that an effect is none: what is left where the reading says nothing at all. */
static double prior_of_nothing(void)
{
    lone blind;
    lone_set(&blind, 3, 5e3);
    assert_int_equal(unlisted_update(&blind.found, &blind.under, &blind.rise_k, 5), SF_OK);
    double nothing = blind.found.effects[EFFECT_COUNT - 1].nothing;
    lone_clear(&blind);
    return nothing;
}

typedef struct summed {
    double rise_k, sd_k, strength, shape;
} summed;

static double gamma_by_normal(double total, void *parameters)
{
    const summed *of = parameters;
    double off = (of->rise_k - total) / of->sd_k;
    return gsl_ran_gamma_pdf(total, of->shape, of->strength) * exp(-off * off / 2) / of->sd_k;
}

static void bound_lies_closely_below_the_whole_evidence(void **state)
{
    (void)state;
    double nothing = prior_of_nothing();
    assert_true(nothing > 0.5 && nothing < 0.98);
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(1000);
    const double rises_k[] = {-1.3, 0.4, 2.1, 7.7, 23};
    for (size_t r = 0; r < sizeof rises_k / sizeof *rises_k; r++) {
        double sd_k = 1.1, strength = 6, evidence = 0;
        /* n effects of exponential strengths sum to a gamma density of shape n; none leaves the
         * reading to its noise (constant 1/sqrt(2 pi) left out throughout) */
        for (unsigned n = 0; n <= EFFECT_COUNT; n++) {
            double chance = gsl_ran_binomial_pdf(n, 1 - nothing, EFFECT_COUNT);
            double value = exp(-pow(rises_k[r] / sd_k, 2) / 2) / sd_k, error;
            summed of = {rises_k[r], sd_k, strength, n};
            gsl_function function = {gamma_by_normal, &of};
            if (n > 0)
                assert_int_equal(gsl_integration_qag(&function, 0, fmax(rises_k[r], 0) + 12, 0,
                                                     1e-9, 1000, GSL_INTEG_GAUSS61, space, &value,
                                                     &error),
                                 GSL_SUCCESS);
            evidence += chance * value;
        }
        lone made;
        lone_set(&made, rises_k[r], sd_k);
        for (int again = 0; again < 5; again++)
            assert_int_equal(unlisted_update(&made.found, &made.under, &made.rise_k, strength),
                             SF_OK);
        double bound = whole_bound(&made.found, &made.under, &made.rise_k);
        /* a bound: never above; it settles on one of four like effects, which costs log 4, and a
         * strength split among several up to one more */
        assert_true(bound <= log(evidence) + 1e-9);
        assert_true(bound > log(evidence) - log(EFFECT_COUNT) - 1);
        lone_clear(&made);
    }
    gsl_integration_workspace_free(space);
}

static void colder_than_expected_is_no_source(void **state)
{
    (void)state;
    lone made;
    lone_set(&made, -9, 1);
    assert_int_equal(unlisted_update(&made.found, &made.under, &made.rise_k, 6), SF_OK);
    for (int k = 0; k < EFFECT_COUNT; k++) {
        assert_true(made.found.effects[k].nothing > prior_of_nothing());
        assert_true(made.found.effects[k].mean[0] >= 0);
    }
    lone_clear(&made);
}

static void candidate_that_no_reading_sees_keeps_its_prior(void **state)
{
    (void)state;
    double nothing = prior_of_nothing();
    /* far from every reading its influence falls as K0(r/L) without end; on an island it is nil */
    const double contributions[] = {1e-5, 1e-9, 1e-11, 3e-14, 1e-20, 1e-80, 0};
    for (size_t i = 0; i < sizeof contributions / sizeof *contributions; i++) {
        lone made;
        lone_set(&made, 7.7, 1.1);
        made.found.at_readings[0] = contributions[i];
        assert_int_equal(unlisted_update(&made.found, &made.under, &made.rise_k, 6), SF_OK);
        for (int k = 0; k < EFFECT_COUNT; k++) {
            const effect *one = &made.found.effects[k];
            assert_close(one->nothing, nothing, 0, 1e-3);
            assert_close(one->share[0], 1 - nothing, 0, 1e-3);
            assert_close(one->mean[0], 6, 0.01, 0);
            assert_close(one->variance[0], 36, 0.01, 0);
        }
        lone_clear(&made);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strengths_and_shares_are_those_of_numerical_integration),
        cmocka_unit_test(bound_lies_closely_below_the_whole_evidence),
        cmocka_unit_test(colder_than_expected_is_no_source),
        cmocka_unit_test(candidate_that_no_reading_sees_keeps_its_prior),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
