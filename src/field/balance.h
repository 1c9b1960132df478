/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The heat balance u - div(L^2 grad u) = s, a screened Poisson (modified Helmholtz) equation, by
 * finite volumes on the cells: a sparse positive definite matrix that is factored once per
 * spreading length and then serves any number of right-hand sides. */
#ifndef SPOTFIELD_FIELD_BALANCE_H
#define SPOTFIELD_FIELD_BALANCE_H

#include <stddef.h>

#include "field/cholesky.h"
#include "field/grid.h"
#include "spotfield/status.h"

typedef struct balance balance;

/* Prepares the matrix of a grid: its pattern and ordering. Freed with balance_free.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status balance_new(const grid *laid, balance **prepared);

/* The same for the grid of `other`, whose ordering is taken over: several of them, each factored by
 * a thread of its own, cost one analysis. Nobody may factor `other` meanwhile. */
sf_status balance_like(const balance *other, balance **prepared);

/* Factors A = diag(loss) + (length_mm / cell)^2 G, G the graph Laplacian of the links. `loss` per
 * node, above 0, relative to the mean loss; NULL means 1 everywhere. */
sf_status balance_factor(balance *prepared, double length_mm, const double *loss);

/* Solves A x = b for `columns` right-hand sides, each of one value a node, one after another in
 * `right`; `solution` may be the same array. SF_ERROR_NUMERIC when a result is not finite. */
sf_status balance_solve(balance *prepared, const double *right, double *solution, size_t columns);

/* Diagonal of A^-1 at every node, from the factor alone. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status balance_inverse_diagonal(balance *prepared, double *diagonal);

/* Entries that the factor has, known from the analysis on. */
double balance_factor_entries(const balance *prepared);

/* A as last factored, its lower triangle; valid until the next factor or the end. */
const cholmod_sparse *balance_matrix(const balance *prepared);
/* ln det A. */
double balance_log_determinant(const balance *prepared);

void balance_free(balance *prepared);

#endif
