/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What holds of the heat balance on any board: energy, symmetry, its own equation, finer grids,
 * other lengths. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>

#include "field/boards.h"
#include "field/solved.h"

/* An L with a window and a slot, and heat in three places. */
static solved broken_board(double cell_mm)
{
    sf_point outer[6] = {{0, 0}, {90, 0}, {90, 30}, {40, 30}, {40, 70}, {0, 70}};
    sf_point window[4], slot[4];
    sf_ring rings[3] = {ring_of(outer, 6), rectangle_ring(window, 50, 10, 60, 20),
                        rectangle_ring(slot, 19.98, 30, 20.02, 70)};
    grid *laid;
    assert_int_equal(grid_lay(rings, 3, 90, 70, cell_mm, 1000000, &laid), SF_OK);
    solved of = solved_start(laid);
    solved_warm(&of, 10, 50, 10, 10, 61.7);
    solved_warm(&of, 75, 15, 10, 20, 23.9);
    solved_warm(&of, 30, 20, 5, 5, 144.1);
    return of;
}

static void energy_in_is_energy_out_on_a_broken_board(void **state)
{
    (void)state;
    solved of = broken_board(2.5);
    double *loss = calloc(of.laid->nodes, sizeof *loss);
    assert_non_null(loss);
    unsigned long seed = 31;
    for (size_t node = 0; node < of.laid->nodes; node++)
        loss[node] = 0.6 + 0.9 * next_uniform(&seed);
    for (int uneven = 0; uneven < 2; uneven++) {
        solved_solve(&of, 27.3, uneven ? loss : NULL);
        double in = 0, out = 0;
        for (size_t node = 0; node < of.laid->nodes; node++) {
            in += of.heat[node];
            out += (uneven ? loss[node] : 1) * of.rise[node];
        }
        assert_close(out, in, 1e-10, 0);
    }
    free(loss);
    solved_clear(&of);
}

static void answers_are_the_same_both_ways(void **state)
{
    (void)state;
    solved of = broken_board(2.5);
    size_t nodes = of.laid->nodes;
    balance *matrix;
    assert_int_equal(balance_new(of.laid, &matrix), SF_OK);
    assert_int_equal(balance_factor(matrix, 27.3, NULL), SF_OK);
    double *both = calloc(2 * nodes, sizeof *both);
    assert_non_null(both);
    unsigned long seed = 77;
    for (int pair = 0; pair < 20; pair++) {
        size_t i = (size_t)(next_uniform(&seed) * (double)nodes);
        size_t k = (size_t)(next_uniform(&seed) * (double)nodes);
        for (size_t node = 0; node < 2 * nodes; node++)
            both[node] = 0;
        both[i] = both[nodes + k] = 1;
        assert_int_equal(balance_solve(matrix, both, both, 2), SF_OK);
        assert_close(both[k], both[nodes + i], 1e-11, 1e-300);
    }
    free(both);
    balance_free(matrix);
    solved_clear(&of);
}

static void solution_fulfils_the_balance_cell_by_cell(void **state)
{
    (void)state;
    solved of = broken_board(2.5);
    solved_solve(&of, 27.3, NULL);
    double coupling = pow(27.3 / of.laid->cell_mm, 2);
    double *left = calloc(of.laid->nodes, sizeof *left);
    assert_non_null(left);
    for (size_t node = 0; node < of.laid->nodes; node++)
        left[node] = of.rise[node] - of.heat[node];
    for (size_t i = 0; i < of.laid->link_count; i++) {
        grid_link pair = of.laid->links[i];
        double flow = coupling * (of.rise[pair.first] - of.rise[pair.second]);
        left[pair.first] += flow;
        left[pair.second] -= flow;
    }
    for (size_t node = 0; node < of.laid->nodes; node++)
        assert_close(left[node], 0, 0, 1e-9);
    free(left);
    solved_clear(&of);
}

static void uniform_heat_makes_a_uniform_rise(void **state)
{
    (void)state;
    solved of = broken_board(2.5);
    for (size_t node = 0; node < of.laid->nodes; node++)
        of.heat[node] = 12.34;
    solved_solve(&of, 27.3, NULL);
    for (size_t node = 0; node < of.laid->nodes; node++)
        assert_close(of.rise[node], 12.34, 1e-11, 0);
    solved_clear(&of);
}

static void field_agrees_with_a_grid_four_times_finer(void **state)
{
    (void)state;
    solved coarse = broken_board(2.5), fine = broken_board(0.625);
    solved_solve(&coarse, 27.3, NULL);
    solved_solve(&fine, 27.3, NULL);
    double squares = 0, peak = 0, worst = 0;
    for (size_t node = 0; node < coarse.laid->nodes; node++) {
        size_t cell = coarse.laid->cell_of_node[node];
        double off = coarse.rise[node] -
                     solved_at(&fine, cell_x_mm(coarse.laid, cell), cell_y_mm(coarse.laid, cell));
        squares += off * off;
        worst = fmax(worst, fabs(off));
        peak = fmax(peak, coarse.rise[node]);
    }
    /* (cell/L)^2 is 0.8 %; the corner of the L and the slot's end are singular, where the error
     * falls with the cell's side only, and the 5 mm source is two cells wide */
    assert_true(sqrt(squares / (double)coarse.laid->nodes) < 0.003 * peak);
    assert_true(worst < 0.03 * peak);
    solved_clear(&coarse);
    solved_clear(&fine);
}

static void more_loss_means_less_rise(void **state)
{
    (void)state;
    solved of = broken_board(2.5);
    double *loss = calloc(of.laid->nodes, sizeof *loss),
           *before = calloc(of.laid->nodes, sizeof *before);
    assert_true(loss && before);
    solved_solve(&of, 27.3, NULL);
    for (size_t node = 0; node < of.laid->nodes; node++) {
        before[node] = of.rise[node];
        loss[node] = node % 7 == 3 ? 1.4 : 1;
    }
    solved_solve(&of, 27.3, loss);
    for (size_t node = 0; node < of.laid->nodes; node++)
        assert_true(of.rise[node] < before[node]);
    free(loss);
    free(before);
    solved_clear(&of);
}

static void heat_that_is_not_finite_is_a_numeric_error(void **state)
{
    (void)state;
    solved of = broken_board(2.5);
    balance *matrix;
    assert_int_equal(balance_new(of.laid, &matrix), SF_OK);
    assert_int_equal(balance_factor(matrix, 27.3, NULL), SF_OK);
    of.heat[5] = NAN;
    assert_int_equal(balance_solve(matrix, of.heat, of.rise, 1), SF_ERROR_NUMERIC);
    of.heat[5] = INFINITY;
    assert_int_equal(balance_solve(matrix, of.heat, of.rise, 1), SF_ERROR_NUMERIC);
    assert_int_equal(balance_solve(matrix, of.heat, of.rise, 0), SF_OK);
    balance_free(matrix);
    balance_free(NULL);
    solved_clear(&of);
}

static void factor_serves_anew_after_another_length(void **state)
{
    (void)state;
    solved of = broken_board(2.5);
    balance *matrix;
    double *again = calloc(of.laid->nodes, sizeof *again);
    assert_non_null(again);
    solved_solve(&of, 27.3, NULL);
    assert_int_equal(balance_new(of.laid, &matrix), SF_OK);
    assert_int_equal(balance_factor(matrix, 9.1, NULL), SF_OK);
    assert_int_equal(balance_factor(matrix, 27.3, NULL), SF_OK);
    assert_int_equal(balance_solve(matrix, of.heat, again, 1), SF_OK);
    for (size_t node = 0; node < of.laid->nodes; node++)
        assert_close(again[node], of.rise[node], 1e-13, 0);
    free(again);
    balance_free(matrix);
    solved_clear(&of);
}

static void a_balance_like_another_solves_as_it_does(void **state)
{
    (void)state;
    solved of = broken_board(2.5);
    balance *first, *second;
    double *likewise = calloc(of.laid->nodes, sizeof *likewise);
    assert_non_null(likewise);
    assert_int_equal(balance_new(of.laid, &first), SF_OK);
    for (int factored = 0; factored < 2; factored++) {
        assert_int_equal(balance_like(first, &second), SF_OK);
        assert_int_equal(balance_factor(first, 13.7, NULL), SF_OK);
        assert_int_equal(balance_factor(second, 21.9, NULL), SF_OK);
        assert_int_equal(balance_solve(second, of.heat, likewise, 1), SF_OK);
        balance_free(second);
        solved_solve(&of, 21.9, NULL);
        assert_memory_equal(likewise, of.rise, of.laid->nodes * sizeof *likewise);
    }
    free(likewise);
    balance_free(first);
    solved_clear(&of);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(energy_in_is_energy_out_on_a_broken_board),
        cmocka_unit_test(answers_are_the_same_both_ways),
        cmocka_unit_test(solution_fulfils_the_balance_cell_by_cell),
        cmocka_unit_test(uniform_heat_makes_a_uniform_rise),
        cmocka_unit_test(field_agrees_with_a_grid_four_times_finer),
        cmocka_unit_test(more_loss_means_less_rise),
        cmocka_unit_test(heat_that_is_not_finite_is_a_numeric_error),
        cmocka_unit_test(factor_serves_anew_after_another_length),
        cmocka_unit_test(a_balance_like_another_solves_as_it_does),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
