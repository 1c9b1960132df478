/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the sparse matrices of this room have in common: many right-hand sides on one Cholesky
 * factor (CHOLMOD). */
#ifndef SPOTFIELD_FIELD_CHOLESKY_H
#define SPOTFIELD_FIELD_CHOLESKY_H

#include <stddef.h>
#include <suitesparse/cholmod.h>

#include "spotfield/status.h"

/* Starts CHOLMOD as this room wants it: silent, ordered by minimum degree, and factored column by
 * column. Blocks of columns would go through the system's BLAS, which may be one that is wrong
 * under threads, and are no faster on the few cells of a board. Ended with cholmod_finish. */
void cholesky_start(cholmod_common *common);

/* SF_OK or what CHOLMOD's last call failed with. */
sf_status cholesky_status(const cholmod_common *common);

/* Rows kept from solve to solve; start from {0}. */
typedef struct cholesky_work {
    double *block; /* rows of right-hand sides, in the factor's order */
    int *place;    /* per row of A: its place there */
    cholmod_dense *residual, *sum;
} cholesky_work;

/* Solves A x = b for `columns` right-hand sides, one after another in `right`; `solution` may be
 * the same array. `matrix` is A, one triangle of it, which the solution is put to the test with.
 * SF_ERROR_MEMORY; SF_ERROR_NUMERIC when a result is not finite; SF_ERROR_SOLVE when it is none. */
sf_status cholesky_solve(cholmod_sparse *matrix, cholmod_factor *factor, cholmod_common *common,
                         cholesky_work *work, const double *right, double *solution,
                         size_t columns);
void cholesky_work_clear(cholesky_work *work, cholmod_common *common);

/* ln det A from its factor. */
double cholesky_log_determinant(const cholmod_factor *factor);

#endif
