/* Determinant and inverse of the balance, against the dense algebra of GSL. Few cells are factored
 * column by column, many by blocks of columns: both are tried. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

#include "field/bench.h"

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

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_small_balance_has_the_determinant_and_inverse_of_dense_algebra),
        cmocka_unit_test(a_large_balance_has_the_determinant_and_inverse_of_dense_algebra),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
