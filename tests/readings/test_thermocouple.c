/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Thermocouples against the ITS-90 tables and the published inverse functions. */
#include "support/check.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_poly.h>

#include "spotfield/reading.h"

static double emf(sf_method method, double temp_c)
{
    double emf_mv = NAN;
    assert_int_equal(sf_thermocouple_emf(method, temp_c, &emf_mv), SF_OK);
    return emf_mv;
}

static double temp(sf_method method, double emf_mv, double junction_c)
{
    double temp_c = NAN;
    assert_int_equal(sf_thermocouple_temp(method, emf_mv, junction_c, &temp_c), SF_OK);
    return temp_c;
}

static const struct entry {
    sf_method method;
    double temp_c, table_mv, computed_mv;
} entries[] = {
    /* table_mv: ITS-90 tables of NIST Monograph 175 = IEC 60584-1, reference junction at 0 C, which
     * print three decimals. computed_mv: the same reference functions evaluated by a
     * general-purpose numerical library. */
    {SF_METHOD_THERMOCOUPLE_K, -20, -0.778, -0.777540},
    {SF_METHOD_THERMOCOUPLE_K, 25, 1.000, 1.000242},
    {SF_METHOD_THERMOCOUPLE_K, 50, 2.023, 2.023078},
    {SF_METHOD_THERMOCOUPLE_K, 75, 3.059, 3.058917},
    {SF_METHOD_THERMOCOUPLE_K, 100, 4.096, 4.096230},
    {SF_METHOD_THERMOCOUPLE_K, 105, 4.303, 4.302870},
    {SF_METHOD_THERMOCOUPLE_K, 125, 5.124, 5.124438},
    {SF_METHOD_THERMOCOUPLE_K, 150, 6.138, 6.138344},
    {SF_METHOD_THERMOCOUPLE_K, 200, 8.138, 8.138473},
    {SF_METHOD_THERMOCOUPLE_T, -20, -0.757, -0.756838},
    {SF_METHOD_THERMOCOUPLE_T, 25, 0.992, 0.991977},
    {SF_METHOD_THERMOCOUPLE_T, 50, 2.036, 2.035722},
    {SF_METHOD_THERMOCOUPLE_T, 75, 3.132, 3.132314},
    {SF_METHOD_THERMOCOUPLE_T, 100, 4.279, 4.278519},
    {SF_METHOD_THERMOCOUPLE_T, 105, 4.513, 4.513348},
    {SF_METHOD_THERMOCOUPLE_T, 125, 5.470, 5.470261},
    {SF_METHOD_THERMOCOUPLE_T, 150, 6.704, 6.704087},
    {SF_METHOD_THERMOCOUPLE_T, 200, 9.288, 9.288102},
    {SF_METHOD_THERMOCOUPLE_J, -20, -0.995, -0.994726},
    {SF_METHOD_THERMOCOUPLE_J, 25, 1.277, 1.277288},
    {SF_METHOD_THERMOCOUPLE_J, 50, 2.585, 2.585315},
    {SF_METHOD_THERMOCOUPLE_J, 75, 3.918, 3.917685},
    {SF_METHOD_THERMOCOUPLE_J, 100, 5.269, 5.268916},
    {SF_METHOD_THERMOCOUPLE_J, 105, 5.541, 5.541000},
    {SF_METHOD_THERMOCOUPLE_J, 125, 6.634, 6.634319},
    {SF_METHOD_THERMOCOUPLE_J, 150, 8.010, 8.009905},
    {SF_METHOD_THERMOCOUPLE_J, 200, 10.779, 10.778746},
};

#define ENTRY_COUNT (sizeof entries / sizeof entries[0])

static void emf_meets_the_tables(void **state)
{
    (void)state;
    for (size_t i = 0; i < ENTRY_COUNT; i++) {
        double emf_mv = emf(entries[i].method, entries[i].temp_c);
        assert_close(emf_mv, entries[i].table_mv, 0, 0.00051);
        assert_close(emf_mv, entries[i].computed_mv, 0, 1e-6);
    }
}

static void emf_meets_the_tables_at_the_hot_end(void **state)
{
    (void)state;
    /* upper ends of the inverse functions' ranges in NIST Monograph 175: 54.886, 42.919, 20.872 */
    assert_close(emf(SF_METHOD_THERMOCOUPLE_K, 1372), 54.886, 0, 0.00051);
    assert_close(emf(SF_METHOD_THERMOCOUPLE_J, 760), 42.919, 0, 0.00051);
    assert_close(emf(SF_METHOD_THERMOCOUPLE_T, 400), 20.872, 0, 0.00051);
}

static void both_ranges_meet_at_zero(void **state)
{
    (void)state;
    /* by definition E(0) = 0; the coefficients of type K above 0 C leave 1e-6 mV */
    for (int method = SF_METHOD_THERMOCOUPLE_K; method <= SF_METHOD_THERMOCOUPLE_T; method++) {
        assert_close(emf((sf_method)method, 0), 0, 0, 1e-6);
        assert_close(emf((sf_method)method, -1e-9), 0, 0, 1e-6);
    }
}

static void temperature_is_the_inverse_of_the_emf(void **state)
{
    (void)state;
    /* 1e-6 mV in the last digit is 3e-5 K; the entries at the cold end, so rounded, lie beyond it
     */
    for (size_t i = 0; i < ENTRY_COUNT; i++)
        if (entries[i].temp_c > 0)
            assert_close(temp(entries[i].method, entries[i].computed_mv, 0), entries[i].temp_c, 0,
                         1e-3);
    assert_close(temp(SF_METHOD_THERMOCOUPLE_K, emf(SF_METHOD_THERMOCOUPLE_K, 1371.317), 0),
                 1371.317, 0, 1e-6);
    assert_close(temp(SF_METHOD_THERMOCOUPLE_T, emf(SF_METHOD_THERMOCOUPLE_T, -19.883), 0), -19.883,
                 0, 1e-6);
}

static void temperature_meets_the_published_inverse_functions(void **state)
{
    (void)state;
    /* NIST Monograph 175, inverse functions: K 0 to 20.644 mV, stated error -0.05..0.04 C; J 0 to
     * 42.919 mV, stated error within 0.04 C. Fitted apart from the reference functions. */
    static const double k[] = {0,           2.508355e1,   7.860106e-2, -2.503131e-1,
                               8.315270e-2, -1.228034e-2, 9.804036e-4, -4.413030e-5,
                               1.057734e-6, -1.052755e-8};
    static const double j[] = {0,           1.978425e1,   -2.001204e-1, 1.036969e-2, -2.549687e-4,
                               3.585153e-6, -5.344285e-8, 5.099890e-10};
    for (double emf_mv = 0.137; emf_mv < 20; emf_mv += 0.731)
        assert_close(temp(SF_METHOD_THERMOCOUPLE_K, emf_mv, 0), gsl_poly_eval(k, 10, emf_mv), 0,
                     0.06);
    for (double emf_mv = 0.137; emf_mv < 42; emf_mv += 0.731)
        assert_close(temp(SF_METHOD_THERMOCOUPLE_J, emf_mv, 0), gsl_poly_eval(j, 8, emf_mv), 0,
                     0.05);
}

static void the_reference_junction_adds_in_millivolts(void **state)
{
    (void)state;
    /* ITS-90, type K, computed: E(85) - E(25) = 3.474327 - 1.000242 = 2.474085 mV. Adding degrees,
     * E^-1(2.474085) + 25, gives 85.9 C. */
    assert_close(emf(SF_METHOD_THERMOCOUPLE_K, 85), 3.474327, 0, 1e-6);
    assert_close(temp(SF_METHOD_THERMOCOUPLE_K, 2.474085, 25), 85, 0, 1e-3);
    assert_close(temp(SF_METHOD_THERMOCOUPLE_J, 0, 31.7), 31.7, 0, 1e-6);
    assert_close(temp(SF_METHOD_THERMOCOUPLE_K, 2.474085, 0) + 25, 85.9, 0, 0.05);
}

static void what_lies_outside_is_refused(void **state)
{
    (void)state;
    double result = 71.25;
    assert_int_equal(sf_thermocouple_emf(SF_METHOD_THERMOCOUPLE_T, 400.1, &result),
                     SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_emf(SF_METHOD_THERMOCOUPLE_J, -20.1, &result),
                     SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_emf(SF_METHOD_THERMOCOUPLE_K, NAN, &result),
                     SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_emf(SF_METHOD_INFRARED, 55.5, &result), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_emf((sf_method)-1, 55.5, &result), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_temp(SF_METHOD_INFRARED, 1.5, 25, &result), SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_temp(SF_METHOD_THERMOCOUPLE_K, 1.5, 60.1, &result),
                     SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_temp(SF_METHOD_THERMOCOUPLE_K, 1.5, NAN, &result),
                     SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_temp(SF_METHOD_THERMOCOUPLE_K, NAN, 25, &result),
                     SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_temp(SF_METHOD_THERMOCOUPLE_T, 20.2, 25, &result),
                     SF_ERROR_ARGUMENT);
    assert_int_equal(sf_thermocouple_temp(SF_METHOD_THERMOCOUPLE_T, -1.8, 25, &result),
                     SF_ERROR_ARGUMENT);
    assert_close(result, 71.25, 0, 0);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(emf_meets_the_tables),
        cmocka_unit_test(emf_meets_the_tables_at_the_hot_end),
        cmocka_unit_test(both_ranges_meet_at_zero),
        cmocka_unit_test(temperature_is_the_inverse_of_the_emf),
        cmocka_unit_test(temperature_meets_the_published_inverse_functions),
        cmocka_unit_test(the_reference_junction_adds_in_millivolts),
        cmocka_unit_test(what_lies_outside_is_refused),
    };
    return cmocka_run_group_tests_name("readings thermocouple", tests, NULL, NULL);
}
