/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Determinant and inverse of the balance, against the dense algebra of GSL. Few cells
 * and many are tried. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/bench.h"
#include "field/cholesky.h"

static void assert_dense(double width_mm, double height_mm, double length_mm)
{
    grid *laid = rectangle_grid(width_mm, height_mm, 2.5);
    balance *matrix;
    size_t nodes = laid->nodes;
    double *loss = calloc(nodes, sizeof *loss), *diagonal = calloc(nodes, sizeof *diagonal);
    assert_true(loss && diagonal);
    for (size_t node = 0; node < nodes; node++)
        loss[node] = 1.1 + 0.6 * sin((double)node);
    double *dense = dense_balance(laid, length_mm, loss);
    gsl_matrix_view view = gsl_matrix_view_array(dense, nodes, nodes);
    assert_int_equal(gsl_linalg_cholesky_decomp1(&view.matrix), GSL_SUCCESS);
    double log_determinant = 0;
    for (size_t node = 0; node < nodes; node++)
        log_determinant += 2 * log(dense[node * nodes + node]);
    assert_int_equal(gsl_linalg_cholesky_invert(&view.matrix), GSL_SUCCESS);
    assert_int_equal(balance_new(laid, &matrix), SF_OK);
    assert_int_equal(balance_factor(matrix, length_mm, loss), SF_OK);
    assert_close(balance_log_determinant(matrix), log_determinant, 1e-11, 0);
    assert_int_equal(balance_inverse_diagonal(matrix, diagonal), SF_OK);
    for (size_t node = 0; node < nodes; node++)
        assert_close(diagonal[node], dense[node * nodes + node], 1e-10, 0);
    balance_free(matrix);
    grid_free(laid);
    free(loss);
    free(diagonal);
    free(dense);
}

static void a_small_balance_has_the_determinant_and_inverse_of_dense_algebra(void **state)
{
    (void)state;
    assert_dense(20, 15, 7.3);
}

static void a_large_balance_has_the_determinant_and_inverse_of_dense_algebra(void **state)
{
    (void)state;
    assert_dense(90, 80, 23.9);
}

/* Some are worked at once, to the last bit as one alone. */
static void many_right_hand_sides_are_solved_as_each_alone(void **state)
{
    (void)state;
    enum { COLUMNS = 21 };
    static const size_t counts[] = {1, 2, 4, 5, 8, 9, 16, 17, COLUMNS};
    grid *laid = rectangle_grid(60, 50, 2.5);
    size_t nodes = laid->nodes;
    balance *matrix;
    double *heat = calloc(COLUMNS * nodes, sizeof *heat);
    double *alone = calloc(COLUMNS * nodes, sizeof *alone);
    double *together = calloc(COLUMNS * nodes, sizeof *together);
    assert_true(heat && alone && together);
    assert_int_equal(balance_new(laid, &matrix), SF_OK);
    assert_int_equal(balance_factor(matrix, 17.3, NULL), SF_OK);
    for (size_t k = 0; k < COLUMNS; k++) {
        for (size_t node = k; node < nodes; node += 11 + k)
            heat[k * nodes + node] = 0.7 + sin((double)(node * (k + 3)));
        assert_int_equal(balance_solve(matrix, heat + k * nodes, alone + k * nodes, 1), SF_OK);
    }
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        memset(together, 0, COLUMNS * nodes * sizeof *together);
        assert_int_equal(balance_solve(matrix, heat, together, counts[i]), SF_OK);
        assert_memory_equal(together, alone, counts[i] * nodes * sizeof *together);
    }
    balance_free(matrix);
    grid_free(laid);
    free(heat);
    free(alone);
    free(together);
}

/* The answer of another matrix than the one that is asked for: as if a library had gone wrong. */
static void a_wrong_solution_is_refused(void **state)
{
    (void)state;
    grid *laid = rectangle_grid(60, 50, 2.5);
    balance *matrix;
    cholmod_common common;
    cholesky_work work = {0};
    cholesky_start(&common);
    assert_int_equal(balance_new(laid, &matrix), SF_OK);
    assert_int_equal(balance_factor(matrix, 17, NULL), SF_OK);
    cholmod_sparse *asked =
        cholmod_copy_sparse((cholmod_sparse *)(uintptr_t)balance_matrix(matrix), &common);
    cholmod_factor *factor = cholmod_analyze(asked, &common);
    assert_true(cholmod_factorize(asked, factor, &common));
    double *heat = calloc(laid->nodes, sizeof *heat);
    assert_non_null(heat);
    heat[37] = 4.1;
    assert_int_equal(cholesky_solve(asked, factor, &common, &work, heat, heat, 1), SF_OK);
    ((double *)asked->x)[0] *= 1 + 1e-6;
    assert_int_equal(cholesky_solve(asked, factor, &common, &work, heat, heat, 1), SF_ERROR_SOLVE);
    cholesky_work_clear(&work, &common);
    cholmod_free_factor(&factor, &common);
    cholmod_free_sparse(&asked, &common);
    cholmod_finish(&common);
    balance_free(matrix);
    grid_free(laid);
    free(heat);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_small_balance_has_the_determinant_and_inverse_of_dense_algebra),
        cmocka_unit_test(a_large_balance_has_the_determinant_and_inverse_of_dense_algebra),
        cmocka_unit_test(many_right_hand_sides_are_solved_as_each_alone),
        cmocka_unit_test(a_wrong_solution_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
