/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The thin-plate spline against another program on published heights, and what it refuses. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

#include "field/boards.h"
#include "field/thin_plate.h"
#include "reference/scattered_places.h"
#include "reference/topo.h"

static sf_point topo_places[TOPO_COUNT];
static double topo_heights[TOPO_COUNT];

static int fill_topo(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    for (size_t i = 0; i < TOPO_COUNT; i++) {
        topo_places[i] = (sf_point){topo[i][0], topo[i][1]};
        topo_heights[i] = topo[i][2];
    }
    return 0;
}

static thin_plate fit(const sf_point *places, const double *values, size_t count, double lambda)
{
    thin_plate made;
    assert_int_equal(thin_plate_fit(places, values, count, lambda, &made), SF_OK);
    return made;
}

static void table_of_heights_is_whole(void **state)
{
    (void)state;
    double x = 0, y = 0, z = 0;
    for (size_t i = 0; i < TOPO_COUNT; i++) {
        x += topo[i][0];
        y += topo[i][1];
        z += topo[i][2];
    }
    /* sums of the data set's columns in R 4.2.2, MASS 7.3-58.2 */
    assert_close(x, 172.6, 1e-12, 0);
    assert_close(y, 167, 1e-12, 0);
    assert_close(z, 43008, 1e-12, 0);
}

static void smoothing_spline_meets_another_program(void **state)
{
    (void)state;
    /* R package fields 14.1, Tps(scale.type = "unscaled") on topo; a dense solve of the bordered
     * system agrees to 6 decimals. Columns: smoothing, degrees of freedom, criterion, heights at
     * (1,1), (3,3), (5,2), (2.5,5) */
    const double table[][7] = {
        {0, 52, NAN, 909.957134, 816.475334, 834.931023, 747.846415},
        {0.00184988529, 48.0734, 275.0588, 908.687454, 817.267336, 836.565920, 748.832609},
        {0.01, 39.043371, 303.170196, 904.940122, 818.628088, 842.447089, 750.150864},
        {0.1, 20.085937, 439.168531, 896.699748, 818.065093, 859.040431, 750.963011},
        {0.101181995, 20.0000, 440.0497, 896.665809, 818.047770, 859.092802, 750.974748},
        {0.614360466, 10.0000, 642.3227, 893.364298, 816.215203, 859.286010, 757.768676},
        {1, 8.282285, 734.210771, 892.775774, 817.092691, 857.922504, 761.591648}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        thin_plate made = fit(topo_places, topo_heights, TOPO_COUNT, table[i][0]);
        /* to the last digit printed */
        assert_close(thin_plate_at(&made, 1, 1), table[i][3], 0, 2e-6);
        assert_close(thin_plate_at(&made, 3, 3), table[i][4], 0, 2e-6);
        assert_close(thin_plate_at(&made, 5, 2), table[i][5], 0, 2e-6);
        assert_close(thin_plate_at(&made, 2.5, 5), table[i][6], 0, 2e-6);
        assert_close(made.freedom, table[i][1], 0, 5e-5);
        if (!isnan(table[i][2]))
            assert_close(made.criterion, table[i][2], 0, 6e-5);
        thin_plate_clear(&made);
    }
}

static void residual_deviation_meets_another_program(void **state)
{
    (void)state;
    /* the same program: sqrt(RSS/(n - freedom)) at a smoothing of 0.1 */
    thin_plate made = fit(topo_places, topo_heights, TOPO_COUNT, 0.1);
    assert_close(sqrt(made.variance), 16.417423, 0, 1e-6);
    thin_plate_clear(&made);
}

static void cross_validation_chooses_the_smoothing_of_another_program(void **state)
{
    (void)state;
    /* the same program chose 0.00184988529, criterion 275.0588; the minimum is flat, so the
     * criterion agrees better than its place */
    thin_plate made = fit(topo_places, topo_heights, TOPO_COUNT, NAN);
    assert_close(made.lambda, 0.00184988529, 0.02, 0);
    assert_close(made.criterion, 275.0588, 0, 1e-4);
    assert_close(thin_plate_at(&made, 1, 1), 908.687454, 0, 0.02);
    assert_close(thin_plate_at(&made, 5, 2), 836.565920, 0, 0.02);
    thin_plate_clear(&made);
}

static void chosen_smoothing_beats_its_neighbours(void **state)
{
    (void)state;
    thin_plate chosen = fit(topo_places, topo_heights, TOPO_COUNT, NAN);
    const double factors[] = {0.001, 0.1, 0.7, 0.95, 1.05, 1.4, 10, 1000};
    for (size_t i = 0; i < sizeof factors / sizeof *factors; i++) {
        thin_plate other = fit(topo_places, topo_heights, TOPO_COUNT, factors[i] * chosen.lambda);
        assert_true(other.criterion > chosen.criterion);
        thin_plate_clear(&other);
    }
    thin_plate_clear(&chosen);
}

static void variance_at_a_place_of_data_is_its_leverage(void **state)
{
    (void)state;
    double work[2 * TOPO_COUNT], moved[TOPO_COUNT];
    thin_plate made = fit(topo_places, topo_heights, TOPO_COUNT, 0.013);
    for (size_t i = 0; i < TOPO_COUNT; i += 5) {
        for (size_t k = 0; k < TOPO_COUNT; k++)
            moved[k] = topo_heights[k] + (k == i ? 1000 : 0);
        thin_plate other = fit(topo_places, moved, TOPO_COUNT, 0.013);
        double leverage = (thin_plate_at(&other, topo[i][0], topo[i][1]) -
                           thin_plate_at(&made, topo[i][0], topo[i][1])) /
                          1000;
        /* G. Wahba, J. R. Stat. Soc. B 45 (1983) 133: sigma^2 times the diagonal of the smoother,
         * here how far the spline follows a value that is moved */
        assert_close(thin_plate_variance(&made, topo[i][0], topo[i][1], work),
                     made.variance * leverage, 1e-7, 0);
        thin_plate_clear(&other);
    }
    thin_plate_clear(&made);
}

static double kernel_of(sf_point a, sf_point b)
{
    double distance = hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm);
    return distance > 0 ? distance * distance * log(distance) / (8 * M_PI) : 0;
}

/* The bordered system [K + lambda I, T; T', 0] in its LU factors. */
static gsl_matrix *bordered(double lambda, gsl_permutation *order)
{
    size_t count = TOPO_COUNT;
    gsl_matrix *system = gsl_matrix_calloc(count + 3, count + 3);
    assert_non_null(system);
    for (size_t i = 0; i < count; i++) {
        double plane[3] = {1, topo_places[i].x_mm, topo_places[i].y_mm};
        for (size_t k = 0; k < count; k++)
            gsl_matrix_set(system, i, k,
                           kernel_of(topo_places[i], topo_places[k]) + (i == k ? lambda : 0));
        for (size_t p = 0; p < 3; p++) {
            gsl_matrix_set(system, i, count + p, plane[p]);
            gsl_matrix_set(system, count + p, i, plane[p]);
        }
    }
    int sign;
    assert_int_equal(gsl_linalg_LU_decomp(system, order, &sign), GSL_SUCCESS);
    return system;
}

static void variance_is_that_of_the_bordered_system(void **state)
{
    (void)state;
    double lambda = 0.01, work[2 * TOPO_COUNT];
    thin_plate made = fit(topo_places, topo_heights, TOPO_COUNT, lambda);
    gsl_permutation *order = gsl_permutation_alloc(TOPO_COUNT + 3);
    gsl_vector *near = gsl_vector_alloc(TOPO_COUNT + 3);
    gsl_vector *weights = gsl_vector_alloc(TOPO_COUNT + 3);
    gsl_matrix *system = bordered(lambda, order);
    const sf_point places[] = {{1, 1}, {3, 3}, {6.3, 6.2}, {0.3, 6.1}, {-1.7, 7.9}};
    for (size_t p = 0; p < sizeof places / sizeof *places; p++) {
        double plane[3] = {1, places[p].x_mm, places[p].y_mm}, sum = 0;
        for (size_t i = 0; i < TOPO_COUNT; i++)
            gsl_vector_set(near, i, kernel_of(places[p], topo_places[i]));
        for (size_t i = 0; i < 3; i++)
            gsl_vector_set(near, TOPO_COUNT + i, plane[i]);
        gsl_linalg_LU_solve(system, order, near, weights);
        for (size_t i = 0; i < TOPO_COUNT + 3; i++)
            sum -= gsl_vector_get(weights, i) * gsl_vector_get(near, i);
        /* universal kriging variance with the kernel as generalized covariance (N. Cressie,
         * Statistics for Spatial Data, from memory): scale (0 - k'w - t'm) */
        double expected = sum * made.variance / lambda;
        assert_true(expected > 0);
        assert_close(thin_plate_variance(&made, places[p].x_mm, places[p].y_mm, work), expected,
                     1e-7, 0);
    }
    gsl_matrix_free(system);
    gsl_vector_free(near);
    gsl_vector_free(weights);
    gsl_permutation_free(order);
    thin_plate_clear(&made);
}

static void variance_is_positive_and_grows_off_the_data(void **state)
{
    (void)state;
    double work[2 * TOPO_COUNT];
    thin_plate made = fit(topo_places, topo_heights, TOPO_COUNT, NAN);
    for (double y = -2; y <= 8.5; y += 0.21)
        for (double x = -2; x <= 8.5; x += 0.21)
            assert_true(thin_plate_variance(&made, x, y, work) > 0);
    double among = thin_plate_variance(&made, 3, 1.2, work);
    assert_true(thin_plate_variance(&made, 7.5, 7.5, work) > 4 * among);
    assert_true(thin_plate_variance(&made, 12, 12, work) >
                4 * thin_plate_variance(&made, 7.5, 7.5, work));
    thin_plate_clear(&made);
}

static void spline_without_smoothing_meets_every_value(void **state)
{
    (void)state;
    thin_plate made = fit(topo_places, topo_heights, TOPO_COUNT, 0);
    for (size_t i = 0; i < TOPO_COUNT; i++)
        assert_close(thin_plate_at(&made, topo[i][0], topo[i][1]), topo[i][2], 1e-10, 0);
    thin_plate_clear(&made);
}

static void plane_is_kept_at_any_smoothing(void **state)
{
    (void)state;
    double values[33];
    const double lambdas[] = {0, 1e-6, 0.37, 1e5};
    for (size_t i = 0; i < 33; i++)
        values[i] = 17.3 + 4.1 * franke_33[i].x_mm - 9.7 * franke_33[i].y_mm;
    for (size_t i = 0; i < sizeof lambdas / sizeof *lambdas; i++) {
        thin_plate made = fit(franke_33, values, 33, lambdas[i]);
        assert_close(thin_plate_at(&made, 0.33, 0.81), 17.3 + 4.1 * 0.33 - 9.7 * 0.81, 1e-9, 0);
        assert_close(thin_plate_at(&made, -3, 5), 17.3 - 4.1 * 3 - 9.7 * 5, 1e-7, 0);
        thin_plate_clear(&made);
    }
}

static void heavy_smoothing_is_the_plane_of_least_squares(void **state)
{
    (void)state;
    thin_plate made = fit(topo_places, topo_heights, TOPO_COUNT, 1e9);
    /* normal equations of z = a + b x + c y, by hand */
    double sums[3][4] = {{0}};
    for (size_t i = 0; i < TOPO_COUNT; i++) {
        double row[4] = {1, topo[i][0], topo[i][1], topo[i][2]};
        for (size_t r = 0; r < 3; r++)
            for (size_t c = 0; c < 4; c++)
                sums[r][c] += row[r] * row[c];
    }
    for (size_t p = 0; p < 3; p++)
        for (size_t r = 0; r < 3; r++) {
            double factor = r == p ? 0 : sums[r][p] / sums[p][p];
            for (size_t c = 0; c < 4; c++)
                sums[r][c] -= factor * sums[p][c];
        }
    double expected =
        sums[0][3] / sums[0][0] + 2.2 * sums[1][3] / sums[1][1] + 4.7 * sums[2][3] / sums[2][2];
    assert_close(thin_plate_at(&made, 2.2, 4.7), expected, 1e-6, 0);
    assert_close(made.freedom, 3, 1e-6, 0);
    thin_plate_clear(&made);
}

static void places_on_a_line_are_refused(void **state)
{
    (void)state;
    sf_point places[7];
    double values[7];
    const double steps[][2] = {{1, 0}, {0, 1}, {3, 4}, {0.1, -0.7}};
    for (size_t s = 0; s < sizeof steps / sizeof *steps; s++) {
        for (size_t i = 0; i < 7; i++) {
            places[i] = (sf_point){31.7 + steps[s][0] * (double)i, 12.9 + steps[s][1] * (double)i};
            values[i] = 20.3 + (double)(i * i % 5);
        }
        thin_plate made;
        assert_int_equal(thin_plate_fit(places, values, 7, 0.1, &made), SF_ERROR_DATA);
        thin_plate_clear(&made);
        assert_int_equal(thin_plate_fit(places, values, 7, NAN, &made), SF_ERROR_DATA);
        thin_plate_clear(&made);
    }
    for (size_t i = 0; i < 7; i++)
        places[i] = (sf_point){31.7, 12.9};
    thin_plate made;
    assert_int_equal(thin_plate_fit(places, values, 7, 0.1, &made), SF_ERROR_DATA);
    thin_plate_clear(&made);
}

static void too_few_and_too_many_places_are_refused(void **state)
{
    (void)state;
    const size_t most = THIN_PLATE_POINTS_MOST + 1;
    sf_point *places = calloc(most, sizeof *places);
    double *values = calloc(most, sizeof *values);
    assert_true(places && values);
    unsigned long seed = 8;
    for (size_t i = 0; i < most; i++) {
        places[i] = (sf_point){100 * next_uniform(&seed), 80 * next_uniform(&seed)};
        values[i] = 20 + 5 * next_uniform(&seed);
    }
    const size_t counts[] = {0, 1, 2, 3, most};
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        thin_plate made;
        assert_int_equal(thin_plate_fit(places, values, counts[i], NAN, &made), SF_ERROR_DATA);
        thin_plate_clear(&made);
    }
    thin_plate four = fit(places, values, 4, NAN);
    assert_true(isfinite(thin_plate_at(&four, 33, 44)));
    thin_plate_clear(&four);
    free(places);
    free(values);
}

static void two_values_at_one_place_are_averaged(void **state)
{
    (void)state;
    sf_point places[6] = {{11, 7}, {83, 13}, {47, 71}, {52, 33}, {52, 33}, {20, 60}};
    double values[6] = {14.2, 19.7, 31.3, 40.1, 44.9, 22.6},
           middle[5] = {14.2, 19.7, 31.3, 42.5, 22.6};
    sf_point five[5] = {{11, 7}, {83, 13}, {47, 71}, {52, 33}, {20, 60}};
    thin_plate both = fit(places, values, 6, 1e-3), mean = fit(five, middle, 5, 0);
    /* smoothing far below the kernel's size of 100: as if the mean had been read */
    assert_close(thin_plate_at(&both, 52, 33), 42.5, 0, 1e-2);
    assert_close(thin_plate_at(&both, 60, 50), thin_plate_at(&mean, 60, 50), 0, 1e-2);
    thin_plate_clear(&both);
    thin_plate_clear(&mean);
}

static void two_values_at_one_place_cannot_both_be_met(void **state)
{
    (void)state;
    sf_point places[6] = {{11, 7}, {83, 13}, {47, 71}, {52, 33}, {52, 33}, {20, 60}};
    double values[6] = {14.2, 19.7, 31.3, 40.1, 44.9, 22.6};
    thin_plate made;
    assert_int_not_equal(thin_plate_fit(places, values, 6, 0, &made), SF_OK);
    thin_plate_clear(&made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_of_heights_is_whole),
        cmocka_unit_test(smoothing_spline_meets_another_program),
        cmocka_unit_test(residual_deviation_meets_another_program),
        cmocka_unit_test(cross_validation_chooses_the_smoothing_of_another_program),
        cmocka_unit_test(chosen_smoothing_beats_its_neighbours),
        cmocka_unit_test(variance_at_a_place_of_data_is_its_leverage),
        cmocka_unit_test(variance_is_that_of_the_bordered_system),
        cmocka_unit_test(variance_is_positive_and_grows_off_the_data),
        cmocka_unit_test(spline_without_smoothing_meets_every_value),
        cmocka_unit_test(plane_is_kept_at_any_smoothing),
        cmocka_unit_test(heavy_smoothing_is_the_plane_of_least_squares),
        cmocka_unit_test(places_on_a_line_are_refused),
        cmocka_unit_test(too_few_and_too_many_places_are_refused),
        cmocka_unit_test(two_values_at_one_place_are_averaged),
        cmocka_unit_test(two_values_at_one_place_cannot_both_be_met),
    };
    return cmocka_run_group_tests(tests, fill_topo, NULL);
}
