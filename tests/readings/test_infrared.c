/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The infrared correction against worked values, its own differences, and Planck's law. */
#include "support/check.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>

#include "readings/correction.h"
#include "spotfield/reading.h"

static double surface(double shown_c, double emissivity, double reflected_c)
{
    double temp_c = NAN;
    assert_int_equal(sf_infrared_temp(shown_c, emissivity, reflected_c, &temp_c, NULL, NULL),
                     SF_OK);
    return temp_c;
}

static void worked_values_are_met(void **state)
{
    (void)state;
    /* M^4 = e T^4 + (1 - e) R^4, computed from the formula apart from this program */
    assert_close(surface(60, 0.95, 23), 61.634, 0, 5e-4);
    assert_close(surface(60, 0.90, 23), 63.422, 0, 5e-4);
    assert_close(surface(80, 0.60, 23), 106.593, 0, 5e-4);
    assert_close(surface(80, 0.95, 25), 82.2641, 0, 5e-5);
    assert_close(surface(80, 0.80, 25), 90.3907, 0, 5e-5);
    assert_close(surface(80, 0.60, 25), 105.9522, 0, 5e-5);
    assert_close(surface(60, 0.95, 25), 61.5606, 0, 5e-5);
    assert_close(surface(100, 0.90, 40), 105.1179, 0, 5e-5);
    assert_close(surface(60, 0.30, 25), 114.68, 0, 5e-3);
}

static void a_black_surface_shows_itself(void **state)
{
    (void)state;
    assert_close(surface(87.43, 1, 19.1), 87.43, 0, 1e-9);
}

static void a_surface_as_warm_as_the_room_needs_no_emissivity(void **state)
{
    (void)state;
    assert_close(surface(24.6, 0.37, 24.6), 24.6, 0, 1e-9);
}

static void sensitivities_are_the_differences_of_the_formula(void **state)
{
    (void)state;
    double temp_c, k_per_emissivity, gain;
    assert_int_equal(sf_infrared_temp(71.3, 0.83, 27.9, &temp_c, &k_per_emissivity, &gain), SF_OK);
    double by_emissivity = surface(71.3, 0.83 + 1e-5, 27.9) - surface(71.3, 0.83 - 1e-5, 27.9);
    double by_shown = surface(71.3 + 1e-3, 0.83, 27.9) - surface(71.3 - 1e-3, 0.83, 27.9);
    double by_reflected = surface(71.3, 0.83, 27.9 + 1e-3) - surface(71.3, 0.83, 27.9 - 1e-3);
    /* central differences, their own error below 1e-6 of the value */
    assert_close(k_per_emissivity, -by_emissivity / 2e-5, 1e-6, 0);
    assert_close(gain, by_shown / 2e-3, 1e-6, 0);
    assert_close(infrared_k_per_reflected_k(temp_c, 0.83, 27.9), -by_reflected / 2e-3, 1e-6, 0);
}

static void emissivity_counts_for_46_kelvins_a_unit_at_80_c(void **state)
{
    (void)state;
    /* -(T^4 - R^4)/(4 e T^3) at T 80 C, e 0.95, R 25 C: -45.7 K, computed from the formula */
    assert_close(infrared_k_per_emissivity(80, 0.95, 25), 45.7, 0, 0.05);
}

/* Planck's law in the band 8 to 14 um, for an emissivity that is grey there. */
#define SECOND_CONSTANT_UM_K 14387.769 /* hc/k, CODATA 2018 */

static double spectral(double wavelength_um, void *temp_abs_k)
{
    double exponent = SECOND_CONSTANT_UM_K / (wavelength_um * *(double *)temp_abs_k);
    return 1 / (pow(wavelength_um, 5) * expm1(exponent));
}

static double band(double temp_c)
{
    double temp_abs_k = temp_c + 273.15, result, error;
    size_t evaluations;
    gsl_function integrand = {spectral, &temp_abs_k};
    assert_int_equal(
        gsl_integration_qng(&integrand, 8, 14, 0, 1e-10, &result, &error, &evaluations),
        GSL_SUCCESS);
    return result;
}

/* The temperature whose band radiance makes up for the missing emissivity, by bisection. */
static double surface_by_band(double shown_c, double emissivity, double reflected_c)
{
    double own = (band(shown_c) - (1 - emissivity) * band(reflected_c)) / emissivity;
    double low_c = -50, high_c = 400;
    for (int i = 0; i < 60; i++) {
        double middle_c = (low_c + high_c) / 2;
        if (band(middle_c) < own)
            low_c = middle_c;
        else
            high_c = middle_c;
    }
    return low_c;
}

static void the_law_s_doubt_covers_the_band_that_instruments_see(void **state)
{
    (void)state;
    /* handheld thermometers see 8 to 14 um; Planck's law, integrated here */
    assert_close(surface_by_band(80, 0.95, 25), 82.3864, 0, 5e-4);
    for (double shown_c = 43; shown_c <= 100; shown_c += 14)
        for (double emissivity = 0.15; emissivity < 1; emissivity += 0.2) {
            double temp_c = surface(shown_c, emissivity, 25);
            double miss_k = surface_by_band(shown_c, emissivity, 25) - temp_c;
            double doubt_k = infrared_law_doubt_k(shown_c, emissivity, 25, temp_c);
            assert_true(miss_k > 0);
            assert_close(doubt_k, 1.1 * miss_k, 0.02, 0);
        }
}

static void the_law_s_doubt_is_finite_where_the_mirror_is_hot(void **state)
{
    (void)state;
    double temp_c = surface(20, 0.24, 40);
    assert_true(temp_c < -90);
    double doubt_k = infrared_law_doubt_k(20, 0.24, 40, temp_c);
    assert_true(isfinite(doubt_k) && doubt_k > 50);
}

static void what_lies_outside_is_refused(void **state)
{
    (void)state;
    double temp_c = 47.75, slope = 3.5, gain = 1.5;
    const double refused[][3] = {
        {60, 0, 23},    {60, -0.2, 23},  {60, 1.001, 23}, {60, NAN, 23},   {NAN, 0.9, 23},
        {60, 0.9, NAN}, {-274, 0.9, 23}, {60, 0.9, -300}, {9000, 0.9, 23}, {-60, 0.1, 150},
    };
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++)
        assert_int_equal(
            sf_infrared_temp(refused[i][0], refused[i][1], refused[i][2], &temp_c, &slope, &gain),
            SF_ERROR_ARGUMENT);
    assert_close(temp_c, 47.75, 0, 0);
    assert_close(slope, 3.5, 0, 0);
    assert_close(gain, 1.5, 0, 0);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(worked_values_are_met),
        cmocka_unit_test(a_black_surface_shows_itself),
        cmocka_unit_test(a_surface_as_warm_as_the_room_needs_no_emissivity),
        cmocka_unit_test(sensitivities_are_the_differences_of_the_formula),
        cmocka_unit_test(emissivity_counts_for_46_kelvins_a_unit_at_80_c),
        cmocka_unit_test(the_law_s_doubt_covers_the_band_that_instruments_see),
        cmocka_unit_test(the_law_s_doubt_is_finite_where_the_mirror_is_hot),
        cmocka_unit_test(what_lies_outside_is_refused),
    };
    return cmocka_run_group_tests_name("readings infrared", tests, NULL, NULL);
}
