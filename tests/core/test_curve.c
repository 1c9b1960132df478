/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Roots and integrals of functions of one variable, against what is known of them. */
#include "support/check.h"

#include <math.h>

#include "core/curve.h"

static double step_at_pi(double at, const void *context)
{
    (void)context;
    return at < 3.14159 ? -0.2 : 7;
}

static double cube(double at, const void *context)
{
    return at * at * at - *(const double *)context;
}

static void a_root_is_found_at_a_jump_at_an_end_and_by_curvature(void **state)
{
    (void)state;
    double target = 29.79; /* its cube root is 3.0999... */
    assert_close(rising_root(step_at_pi, NULL, -11, 8), 3.14159, 0, 1e-8);
    assert_close(rising_root(step_at_pi, NULL, 4, 8), 4, 0, 0);
    assert_close(rising_root(step_at_pi, NULL, -4, 3), 3, 0, 0);
    assert_close(rising_root(cube, &target, -5, 9), cbrt(29.79), 0, 1e-8);
    target = 27;
    assert_close(rising_root(cube, &target, 1, 5), 3, 0, 1e-8);
}

static void the_quadrature_is_exact_for_polynomials(void **state)
{
    (void)state;
    double zero = 0.7;
    /* integral of x^3 - 0.7 from -1.3 to 2.9 */
    double exact = (pow(2.9, 4) - pow(1.3, 4)) / 4 - 0.7 * 4.2;
    assert_close(integral(cube, &zero, -1.3, 2.9), exact, 1e-14, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_root_is_found_at_a_jump_at_an_end_and_by_curvature),
        cmocka_unit_test(the_quadrature_is_exact_for_polynomials),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
