/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sums of products by wide registers against plain sums. */
#include "support/check.h"

#include <math.h>

#include "field/products.h"

enum { ROWS = 7, LONGEST = 43 };

static double sum_of(const double *a, const double *b, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += a[i] * b[i];
    return sum;
}

static void set_rows(double *a, double *b, double *rows)
{
    for (int i = 0; i < LONGEST; i++) {
        a[i] = 1.3 + sin(1.7 * i);
        b[i] = cos(2.3 * i) - 0.4;
    }
    for (int i = 0; i < ROWS * LONGEST; i++)
        rows[i] = cos(0.9 * i * i);
}

/* Rows are taken four at a time, and a row eight numbers at a time. */
static void products_of_many_rows_are_those_of_each_row(void **state)
{
    (void)state;
    double a[LONGEST], b[LONGEST], rows[ROWS * LONGEST], sums[ROWS];
    set_rows(a, b, rows);
    for (size_t count = 0; count <= LONGEST; count++) {
        dots(a, rows, LONGEST, ROWS, count, sums);
        for (size_t row = 0; row < ROWS; row++) {
            assert_close(sums[row], sum_of(a, rows + row * LONGEST, count), 0, 1e-13);
            assert_true(sums[row] == dot(a, rows + row * LONGEST, count));
        }
    }
}

static void products_with_two_are_added_to_what_is_there(void **state)
{
    (void)state;
    double a[LONGEST], b[LONGEST], rows[ROWS * LONGEST];
    set_rows(a, b, rows);
    for (size_t count = 0; count <= LONGEST; count++) {
        double of_a[ROWS] = {0}, of_b[ROWS] = {0};
        of_a[2] = 5.5;
        of_b[6] = -3.25;
        add_dots_of_two(a, b, rows, LONGEST, ROWS, count, of_a, of_b);
        for (size_t row = 0; row < ROWS; row++) {
            const double *at = rows + row * LONGEST;
            assert_close(of_a[row], sum_of(a, at, count) + (row == 2 ? 5.5 : 0), 0, 1e-13);
            assert_close(of_b[row], sum_of(b, at, count) - (row == 6 ? 3.25 : 0), 0, 1e-13);
        }
    }
}

static void multiples_are_added(void **state)
{
    (void)state;
    double a[LONGEST], b[LONGEST], rows[ROWS * LONGEST];
    set_rows(a, b, rows);
    for (size_t count = 0; count <= LONGEST; count++) {
        double sum[LONGEST];
        for (size_t i = 0; i < LONGEST; i++)
            sum[i] = b[i];
        add_times(sum, a, -1.7, count);
        for (size_t i = 0; i < LONGEST; i++)
            assert_close(sum[i], i < count ? b[i] - 1.7 * a[i] : b[i], 1e-15, 1e-15);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(products_of_many_rows_are_those_of_each_row),
        cmocka_unit_test(products_with_two_are_added_to_what_is_there),
        cmocka_unit_test(multiples_are_added),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
