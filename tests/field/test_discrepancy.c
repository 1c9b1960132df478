/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The covariance of what is wrong with the model as a whole. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include "field/bench.h"
#include "field/discrepancy.h"

/* Matern 3/2: C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006),
 * equation 4.17, from memory; e^x by the C library. */
static double matern(double away_mm, double length_mm)
{
    double away = sqrt(3) * away_mm / length_mm;
    return (1 + away) * exp(-away);
}

static void places_are_as_alike_as_matern_says(void **state)
{
    (void)state;
    const double lengths_mm[] = {0.3, 7.9, 20, 61.3};
    for (size_t k = 0; k < sizeof lengths_mm / sizeof *lengths_mm; k++)
        for (double away_mm = 0; away_mm < 100 * lengths_mm[k]; away_mm += 0.137 * lengths_mm[k]) {
            sf_point one = {3.1, -4.7}, other = {3.1 + 0.6 * away_mm, -4.7 + 0.8 * away_mm};
            /* the argument of e^x, up to 173, is known to its own last bits alone */
            assert_close(discrepancy_alike(one, other, lengths_mm[k]),
                         matern(away_mm, lengths_mm[k]), 2e-13, 0);
        }
    assert_true(discrepancy_alike((sf_point){0, 0}, (sf_point){0, 0}, 20) == 1);
    /* beyond what a double can hold it ends, as near to nothing as may be */
    double far = discrepancy_alike((sf_point){0, 0}, (sf_point){1e9, 0}, 1);
    assert_true(far >= 0 && far < 1e-290);
}

static void a_row_is_what_each_place_is(void **state)
{
    (void)state;
    enum { COUNT = 23 };
    double away_mm[COUNT], scale_k[COUNT], row[COUNT];
    for (int k = 0; k < COUNT; k++) {
        away_mm[k] = 1.9 * k * k;
        scale_k[k] = 4 + cos(k);
        row[k] = 0.5 * k;
    }
    discrepancy_add_row(away_mm, 17.3, scale_k, 0.23, COUNT, row);
    for (int k = 0; k < COUNT; k++)
        assert_close(row[k], 0.5 * k + 0.23 * scale_k[k] * matern(away_mm[k], 17.3), 1e-13, 1e-15);
}

/* On a board with a slot, whose nodes are not numbered as its cells. */
static void the_field_of_a_reading_is_that_at_each_node(void **state)
{
    (void)state;
    const sf_observation seen[] = {plain_observation("T1", 31.3, 22.9, 17.1, 0.7),
                                   plain_observation("T2", 150.7, 61.2, 9.4, 0.7)};
    bench set;
    bench_set(&set, 211, 83, 2.5, NULL, 0, seen, 2);
    bench_cut(&set, 50, 20, 90, 60);
    hyperparameters held = hyperparameters_prior(&set.data);
    held.off_share = 0.19;
    held.off_mm = 23.7;
    double *values = calloc(set.laid->nodes, sizeof *values);
    assert_non_null(values);
    for (size_t node = 0; node < set.laid->nodes; node++)
        set.data.rise_guess_k[node] = 5 + (double)(node % 13);
    discrepancy_add(&set.data, &held, 1, 1.4, values);
    for (size_t node = 0; node < set.laid->nodes; node++) {
        size_t cell = set.laid->cell_of_node[node];
        double away_mm = hypot(cell_x_mm(set.laid, cell) - 150.7, cell_y_mm(set.laid, cell) - 61.2);
        assert_close(values[node],
                     1.4 * 0.19 * 0.19 * set.data.rise_guess_k[node] *
                         discrepancy_scale_k(&set.data, 1) * matern(away_mm, 23.7),
                     1e-12, 0);
    }
    free(values);
    bench_clear(&set);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(places_are_as_alike_as_matern_says),
        cmocka_unit_test(a_row_is_what_each_place_is),
        cmocka_unit_test(the_field_of_a_reading_is_that_at_each_node),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
