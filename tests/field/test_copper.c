/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Uneven copper, to first order, against boards whose links do conduct unevenly, solved densely. */
#include "field/bench.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_linalg.h>

#include "core/memory.h"
#include "support/check.h"

#define LENGTH_MM 11.3
#define SHARE 1e-4 /* of a link's conductance: the change is linear in it to about its size */

static sf_source sources[2];
static sf_observation seen[1];

static void board_set(bench *of)
{
    sources[0] = plain_source("Q1", 14, 13, 7, 5);
    sources[1] = plain_source("Q2", 40, 33, 6, 9);
    seen[0] = plain_observation("a", 20, 20, 20, 1);
    bench_set(of, 52, 44, 2, sources, 2, seen, 1);
}

static double *heat_of_sources(const bench *of)
{
    double *heat = calloc(of->laid->nodes, sizeof *heat);
    assert_non_null(heat);
    for (size_t j = 0; j < 2; j++)
        for (size_t k = 0; k < of->data.covers[j].count; k++)
            heat[of->data.covers[j].shares[k].node] += 31 * of->data.covers[j].shares[k].share;
    return heat;
}

/* Solves matrix rise = heat by LU decomposition, which leaves the matrix spent. */
static double *solve(double *matrix, double *heat, size_t nodes)
{
    double *rise_k = calloc(nodes, sizeof *rise_k);
    int sign;
    gsl_permutation *order = gsl_permutation_alloc(nodes);
    assert_non_null(rise_k);
    gsl_matrix_view system = gsl_matrix_view_array(matrix, nodes, nodes);
    gsl_vector_view right = gsl_vector_view_array(heat, nodes);
    gsl_vector_view found = gsl_vector_view_array(rise_k, nodes);
    gsl_linalg_LU_decomp(&system.matrix, order, &sign);
    gsl_linalg_LU_solve(&system.matrix, order, &right.vector, &found.vector);
    gsl_permutation_free(order);
    return rise_k;
}

/* The field where every link conducts more by the share interpolated between knots, `sign` SHARE at
 * one knot and nothing at the others. */
static double *solve_uneven(const bench *of, size_t knot, double sign)
{
    const copper_lattice *lattice = &of->data.copper;
    const size_t corner[4] = {0, 1, lattice->columns, lattice->columns + 1};
    size_t nodes = of->laid->nodes;
    double *matrix = dense_balance(of->laid, LENGTH_MM, of->data.loss);
    double *heat = heat_of_sources(of);
    double conductance = pow(LENGTH_MM / of->laid->cell_mm, 2);
    for (size_t link = 0; link < of->laid->link_count; link++)
        for (int k = 0; k < 4; k++) {
            if (lattice->knot_of_link[link] + corner[k] != knot)
                continue;
            size_t a = (size_t)of->laid->links[link].first;
            size_t b = (size_t)of->laid->links[link].second;
            double more = sign * SHARE * lattice->weights[4 * link + (size_t)k] * conductance;
            matrix[a * nodes + a] += more;
            matrix[b * nodes + b] += more;
            matrix[a * nodes + b] -= more;
            matrix[b * nodes + a] -= more;
        }
    double *rise_k = solve(matrix, heat, nodes);
    free(matrix);
    free(heat);
    return rise_k;
}

static void a_knots_share_changes_the_field_as_a_solution_with_it_does(void **state)
{
    (void)state;
    bench of;
    board_set(&of);
    size_t nodes = of.laid->nodes, knots = of.data.copper.knots;
    assert_int_equal(knots, 4 * 4);
    double *even_k = solve_uneven(&of, knots, 0);
    copper_take_field(&of.data.copper, even_k);
    double *fields = calloc(knots * nodes, sizeof *fields);
    assert_non_null(fields);
    assert_int_equal(balance_factor(of.matrix, LENGTH_MM, of.data.loss), SF_OK);
    assert_int_equal(copper_fields(&of.data.copper, of.matrix, LENGTH_MM, fields), SF_OK);
    for (size_t knot = 0; knot < knots; knot += 5) {
        double *more_k = solve_uneven(&of, knot, 1), *less_k = solve_uneven(&of, knot, -1);
        double most = 0;
        for (size_t node = 0; node < nodes; node++)
            most = fmax(most, fabs(more_k[node] - less_k[node]) / (2 * SHARE));
        assert_true(most > 0.05);
        for (size_t node = 0; node < nodes; node++)
            assert_close(fields[knot * nodes + node], (more_k[node] - less_k[node]) / (2 * SHARE),
                         0, 1e-6 * most);
        free(more_k);
        free(less_k);
    }
    free(fields);
    free(even_k);
    bench_clear(&of);
}

/* What a place sees of a knot by its adjoint is what the knot's field is there. */
static void influence_and_field_tell_the_same(void **state)
{
    (void)state;
    enum { PLACES = 5 }; /* more than are worked at once */
    bench of;
    board_set(&of);
    size_t nodes = of.laid->nodes, knots = of.data.copper.knots;
    double *even_k = solve_uneven(&of, knots, 0), change_k[PLACES * COPPER_KNOTS_MOST];
    copper_take_field(&of.data.copper, even_k);
    double *fields = calloc(knots * nodes, sizeof *fields);
    double *adjoint = calloc(PLACES * nodes, sizeof *adjoint);
    assert_non_null(fields);
    assert_non_null(adjoint);
    assert_int_equal(balance_factor(of.matrix, LENGTH_MM, of.data.loss), SF_OK);
    assert_int_equal(copper_fields(&of.data.copper, of.matrix, LENGTH_MM, fields), SF_OK);
    assert_true(3 + 97 * (PLACES - 1) < nodes);
    for (size_t i = 0; i < PLACES; i++)
        adjoint[i * nodes + 3 + 97 * i] = 1;
    assert_int_equal(balance_solve(of.matrix, adjoint, adjoint, PLACES), SF_OK);
    copper_at_knots(&of.data.copper, LENGTH_MM, adjoint, PLACES, change_k);
    for (size_t i = 0; i < PLACES; i++)
        for (size_t knot = 0; knot < knots; knot++)
            assert_close(change_k[i * knots + knot], fields[knot * nodes + 3 + 97 * i], 1e-9,
                         1e-11);
    free(fields);
    free(adjoint);
    free(even_k);
    bench_clear(&of);
}

/* A share that is the same at every knot acts about the same at every link. */
static void weights_have_unit_squares_and_the_lattice_stays_small(void **state)
{
    (void)state;
    bench of;
    board_set(&of);
    for (size_t link = 0; link < of.laid->link_count; link++) {
        const double *weights = of.data.copper.weights + 4 * link;
        double squares = 0;
        for (int k = 0; k < 4; k++)
            squares += weights[k] * weights[k];
        assert_close(squares, 1, 1e-12, 0);
        assert_true(of.data.copper.knot_of_link[link] + of.data.copper.columns + 1 <
                    of.data.copper.knots);
    }
    bench_clear(&of);
    bench_set(&of, 600, 500, 6, sources, 2, seen, 1);
    assert_true(of.data.copper.knots <= COPPER_KNOTS_MOST && of.data.copper.knots > 90);
    bench_clear(&of);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_knots_share_changes_the_field_as_a_solution_with_it_does),
        cmocka_unit_test(influence_and_field_tell_the_same),
        cmocka_unit_test(weights_have_unit_squares_and_the_lattice_stays_small),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
