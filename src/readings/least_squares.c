/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Least squares by singular values, U S V'. The Jacobi decomposition and the products here ask for
 * no memory: the library's own fitting routines do, and some crash when it runs out. */
#include "readings/least_squares.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include "core/memory.h"

#define RANK_TOLERANCE 1e-12

bool least_squares_make(size_t equations, size_t unknowns, least_squares *made)
{
    double *space = NULL;
    if (equations < SIZE_MAX / (unknowns + 1) / 2)
        space = array_new((equations + unknowns + 3) * (unknowns + 1), sizeof *space);
    if (!space)
        return false;
    made->space = space;
    made->slopes = gsl_matrix_view_array(space, equations, unknowns);
    made->gap = gsl_vector_view_array(space += equations * unknowns, equations);
    made->right = gsl_matrix_view_array(space += equations, unknowns, unknowns);
    made->step = gsl_vector_view_array(space += unknowns * unknowns, unknowns);
    made->singular = gsl_vector_view_array(space += unknowns, unknowns);
    made->projected = gsl_vector_view_array(space + unknowns, unknowns);
    return true;
}

void least_squares_free(least_squares *ended)
{
    free(ended->space);
}

void least_squares_fill(least_squares *of, size_t equation, const double *slopes, double gap)
{
    for (size_t j = 0; j < of->slopes.matrix.size2; j++)
        gsl_matrix_set(&of->slopes.matrix, equation, j, slopes[j]);
    gsl_vector_set(&of->gap.vector, equation, gap);
}

/* One over a singular value, 0 for one that counts as none. */
static double inverse_of(const least_squares *of, size_t k)
{
    double value = gsl_vector_get(&of->singular.vector, k);
    return value > RANK_TOLERANCE * gsl_vector_max(&of->singular.vector) ? 1 / value : 0;
}

sf_status least_squares_solve(least_squares *of)
{
    gsl_matrix *left = &of->slopes.matrix, *right = &of->right.matrix;
    gsl_vector *projected = &of->projected.vector, *step = &of->step.vector;
    if (gsl_linalg_SV_decomp_jacobi(left, right, &of->singular.vector) != GSL_SUCCESS)
        return SF_ERROR_NUMERIC;
    gsl_blas_dgemv(CblasTrans, 1, left, &of->gap.vector, 0, projected);
    for (size_t k = 0; k < projected->size; k++)
        gsl_vector_set(projected, k, gsl_vector_get(projected, k) * inverse_of(of, k));
    gsl_blas_dgemv(CblasNoTrans, 1, right, projected, 0, step);
    return isfinite(gsl_blas_dasum(step)) ? SF_OK : SF_ERROR_NUMERIC;
}

double least_squares_step(const least_squares *of, size_t unknown)
{
    return gsl_vector_get(&of->step.vector, unknown);
}

double least_squares_hold(const least_squares *of)
{
    return gsl_vector_min(&of->singular.vector) / gsl_vector_max(&of->singular.vector);
}
