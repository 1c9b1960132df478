/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How far the thin-plate spline misses published test functions, against other programs. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "field/thin_plate.h"
#include "reference/scattered_places.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static thin_plate fit(const sf_point *places, const double *values, size_t count, double lambda)
{
    thin_plate made;
    assert_int_equal(thin_plate_fit(places, values, count, lambda, &made), SF_OK);
    return made;
}

/* R. Franke's first six test functions, Naval Postgraduate School report NPS-53-79-003, 1979, as in
 * the test program of ACM algorithm 792. */
static double franke(int number, double x, double y)
{
    double square = (x - 0.5) * (x - 0.5) + (y - 0.5) * (y - 0.5);
    switch (number) {
    case 1:
        return 0.75 * exp(-(pow(9 * x - 2, 2) + pow(9 * y - 2, 2)) / 4) +
               0.75 * exp(-pow(9 * x + 1, 2) / 49 - (9 * y + 1) / 10) +
               0.5 * exp(-(pow(9 * x - 7, 2) + pow(9 * y - 3, 2)) / 4) -
               0.2 * exp(-pow(9 * x - 4, 2) - pow(9 * y - 7, 2));
    case 2:
        return (tanh(9 * (y - x)) + 1) / 9;
    case 3:
        return (1.25 + cos(5.4 * y)) / (6 + 6 * pow(3 * x - 1, 2));
    case 4:
        return exp(-81 * square / 16) / 3;
    case 5:
        return exp(-81 * square / 4) / 3;
    default:
        return sqrt(64 - 81 * square) / 9 - 0.5;
    }
}

/* Largest, mean and root mean square error on a square of side x side places. */
typedef struct misses {
    double most, mean, rms;
} misses;

static misses misses_of(const thin_plate *of, int function, int side)
{
    misses seen = {0, 0, 0};
    for (int i = 0; i < side * side; i++) {
        double x = (double)(i % side) / (side - 1), y = (double)(i / side) / (side - 1);
        double off = fabs(thin_plate_at(of, x, y) - franke(function, x, y));
        seen.most = fmax(seen.most, off);
        seen.mean += off / (side * side);
        seen.rms += off * off / (side * side);
    }
    seen.rms = sqrt(seen.rms);
    return seen;
}

static thin_plate interpolate(const sf_point *places, size_t count, int function)
{
    double values[300];
    for (size_t i = 0; i < count; i++)
        values[i] = franke(function, places[i].x_mm, places[i].y_mm);
    return fit(places, values, count, 0);
}

static void spline_passes_through_the_published_values_it_is_given(void **state)
{
    (void)state;
    /* the first function, computed from its formula apart from franke(); its second exponent is not
     * squared in y. At no smoothing the spline meets what it was given. */
    const struct {
        sf_point at;
        double value;
    } table[] = {{{0, 0}, 0.7664205913}, {{0.5, 0.5}, 0.3257620893}, {{0.25, 0.25}, 1.1652833230},
                 {{1, 1}, 0.0358695924}, {{0, 1}, 0.2703371616},     {{1, 0}, 0.1075575523}};
    sf_point places[6];
    for (size_t i = 0; i < 6; i++)
        places[i] = table[i].at;
    thin_plate made = interpolate(places, 6, 1);
    for (size_t i = 0; i < 6; i++)
        assert_close(thin_plate_at(&made, places[i].x_mm, places[i].y_mm), table[i].value, 0,
                     2e-10);
    thin_plate_clear(&made);
}

/* The k-th number of the Halton sequence in a base: digits mirrored at the point. */
static double halton(size_t index, size_t base)
{
    double sum = 0, place = 1;
    for (; index > 0; index /= base)
        sum += (double)(index % base) * (place /= (double)base);
    return sum;
}

static void spline_on_halton_points_has_the_errors_of_another_program(void **state)
{
    (void)state;
    /* SciPy 1.10.1, RBFInterpolator with its thin-plate kernel, on the first n Halton points (bases
     * 2 and 3, from index 1), errors on 41 x 41 places */
    const struct {
        size_t count;
        double rms, most;
    } table[] = {{25, 0.067077, 0.439114}, {81, 0.006107, 0.028709}, {289, 0.001568, 0.026280}};
    sf_point places[289];
    for (size_t i = 0; i < 289; i++)
        places[i] = (sf_point){halton(i + 1, 2), halton(i + 1, 3)};
    for (size_t i = 0; i < 3; i++) {
        thin_plate made = interpolate(places, table[i].count, 1);
        misses seen = misses_of(&made, 1, 41);
        assert_close(seen.rms, table[i].rms, 0, 6e-7);
        assert_close(seen.most, table[i].most, 0, 6e-7);
        if (table[i].count == 81) {
            assert_close(thin_plate_at(&made, 0.5, 0.5), 0.32596276, 0, 6e-9);
            assert_close(thin_plate_at(&made, 0.25, 0.75), 0.26987938, 0, 6e-9);
            assert_close(thin_plate_at(&made, 0.9, 0.1), 0.24603302, 0, 6e-9);
        }
        thin_plate_clear(&made);
    }
}

/* Errors on 33 x 33 places, to the digits of the table. */
static void assert_errors(const sf_point *places, size_t count, const double table[6][3])
{
    for (int function = 1; function <= 6; function++) {
        thin_plate made = interpolate(places, count, function);
        misses seen = misses_of(&made, function, 33);
        assert_close(seen.most, table[function - 1][0], 0, 5.1e-6);
        assert_close(seen.mean, table[function - 1][1], 0, 5.1e-6);
        assert_close(seen.rms, table[function - 1][2], 0, 5.1e-6);
        thin_plate_clear(&made);
    }
}

/* The tables that follow: exact thin-plate interpolation by a dense solve in NumPy 1.24.2; the
 * heights below agree with R package fields 14.1 in 9 digits. */

static void spline_on_100_places_has_the_errors_of_a_dense_solve(void **state)
{
    (void)state;
    const double table[6][3] = {{.05181, .00525, .00947}, {.03444, .00210, .00436},
                                {.00597, .00049, .00092}, {.00294, .00017, .00030},
                                {.01747, .00088, .00217}, {.01694, .00053, .00150}};
    assert_errors(franke_100, 100, table);
}

static void spline_on_33_places_has_the_errors_of_a_dense_solve(void **state)
{
    (void)state;
    const double table[6][3] = {{.15345, .02928, .04208}, {.05259, .00778, .01339},
                                {.05742, .00912, .01402}, {.02587, .00415, .00714},
                                {.14913, .01296, .02964}, {.02322, .00315, .00545}};
    assert_errors(franke_33, 33, table);
}

static void spline_on_25_places_has_the_errors_of_a_dense_solve(void **state)
{
    (void)state;
    const double table[6][3] = {{.12079, .02525, .03483}, {.10093, .01350, .02348},
                                {.05884, .00810, .01373}, {.01283, .00265, .00351},
                                {.02331, .00462, .00653}, {.05811, .00557, .00925}};
    assert_errors(lawson_25, 25, table);
}

static void spline_on_published_places_has_the_heights_of_two_programs(void **state)
{
    (void)state;
    const sf_point *places[3] = {franke_100, franke_33, lawson_25};
    const size_t counts[3] = {100, 33, 25};
    const double heights[3][4] = {{.331754406, 1.103180217, .090258049, .246993991},
                                  {.427372562, 1.074091181, .089885583, .302573068},
                                  {.320656775, 1.097833977, .111678174, .251198747}};
    const sf_point at[4] = {{.5, .5}, {.2, .3}, {.8, .8}, {.35, .65}};
    for (size_t s = 0; s < 3; s++) {
        thin_plate made = interpolate(places[s], counts[s], 1);
        for (size_t i = 0; i < 4; i++)
            assert_close(thin_plate_at(&made, at[i].x_mm, at[i].y_mm), heights[s][i], 0, 1e-9);
        thin_plate_clear(&made);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spline_passes_through_the_published_values_it_is_given),
        cmocka_unit_test(spline_on_halton_points_has_the_errors_of_another_program),
        cmocka_unit_test(spline_on_100_places_has_the_errors_of_a_dense_solve),
        cmocka_unit_test(spline_on_33_places_has_the_errors_of_a_dense_solve),
        cmocka_unit_test(spline_on_25_places_has_the_errors_of_a_dense_solve),
        cmocka_unit_test(spline_on_published_places_has_the_heights_of_two_programs),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
