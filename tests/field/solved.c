/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays, warms and solves. */
#include "field/solved.h"

#include <stdlib.h>

#include "support/check.h"

solved solved_start(grid *laid)
{
    solved made = {laid, calloc(laid->nodes, sizeof(double)), calloc(laid->nodes, sizeof(double))};
    assert_true(made.heat && made.rise);
    return made;
}

void solved_warm(solved *of, double x_mm, double y_mm, double width_mm, double height_mm,
                 double heat_k)
{
    footprint covered;
    assert_int_equal(grid_cover(of->laid, x_mm, y_mm, width_mm, height_mm, 0, &covered), SF_OK);
    for (size_t i = 0; i < covered.count; i++)
        of->heat[covered.shares[i].node] += heat_k * covered.shares[i].share;
    free(covered.shares);
}

void solved_solve(solved *of, double length_mm, const double *loss)
{
    balance *matrix;
    assert_int_equal(balance_new(of->laid, &matrix), SF_OK);
    assert_int_equal(balance_factor(matrix, length_mm, loss), SF_OK);
    assert_int_equal(balance_solve(matrix, of->heat, of->rise, 1), SF_OK);
    balance_free(matrix);
}

void solved_clear(solved *of)
{
    grid_free(of->laid);
    free(of->heat);
    free(of->rise);
}

double solved_at(const solved *of, double x_mm, double y_mm)
{
    grid_sample sample = grid_sample_at(of->laid, x_mm, y_mm);
    return sample_value(&sample, of->rise);
}
