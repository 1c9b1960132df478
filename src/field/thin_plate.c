/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Thin-plate smoothing spline: the side conditions are removed by a QR factorization, the rest is
 * diagonalised once, so that every smoothing costs only a sum. */
#include "field/thin_plate.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_eigen.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_min.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/green.h"

#define GRID_STEPS 60
#define LAMBDA_RANGE 1e9 /* smoothing tried below and above the largest eigenvalue / 1e3 */
#define FLAT 1e-10

/* What is left when the side conditions are met: values rotated so that the smoother is diagonal.
 */
typedef struct spectrum {
    size_t count, rest;  /* rest = count - 3 */
    double *basis;       /* count x rest: columns span what no plane reaches */
    double *eigenvalues; /* rest */
    double *projected;   /* rest: basis' values */
} spectrum;

static double kernel(double dx_mm, double dy_mm)
{
    double square = dx_mm * dx_mm + dy_mm * dy_mm;
    return square > 0 ? square * log(square) / (16 * M_PI) : 0;
}

static void fill_kernel(const sf_point *points, size_t count, double *matrix)
{
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            matrix[i * count + k] =
                kernel(points[i].x_mm - points[k].x_mm, points[i].y_mm - points[k].y_mm);
}

/* Generalized cross-validation and degrees of freedom at a smoothing. */
static double criterion_at(const spectrum *of, double lambda, double *freedom, double *residual)
{
    double squares = 0, lost = 0;
    for (size_t i = 0; i < of->rest; i++) {
        double kept = lambda > 0 ? lambda / (of->eigenvalues[i] + lambda) : 0;
        squares += kept * kept * of->projected[i] * of->projected[i];
        lost += kept;
    }
    if (freedom)
        *freedom = (double)of->count - lost;
    if (residual)
        *residual = squares;
    return lost > 0 ? (double)of->count * squares / (lost * lost) : INFINITY;
}

static double criterion_of_log(double log_lambda, void *of)
{
    return criterion_at(of, exp(log_lambda), NULL, NULL);
}

static sf_status choose_lambda(spectrum *of, double *lambda)
{
    double most = of->eigenvalues[0];
    for (size_t i = 1; i < of->rest; i++)
        most = fmax(most, of->eigenvalues[i]);
    double low = log(most / LAMBDA_RANGE), high = log(most * 1e3), best = low;
    double step = (high - low) / GRID_STEPS;
    for (int i = 1; i <= GRID_STEPS; i++)
        if (criterion_of_log(low + i * step, of) < criterion_of_log(best, of))
            best = low + i * step;
    *lambda = exp(best);
    gsl_min_fminimizer *search = gsl_min_fminimizer_alloc(gsl_min_fminimizer_brent);
    if (!search)
        return SF_ERROR_MEMORY;
    gsl_function function = {criterion_of_log, of};
    if (gsl_min_fminimizer_set(search, &function, best, best - step, best + step) == GSL_SUCCESS)
        for (int i = 0; i < 60 && gsl_min_fminimizer_iterate(search) == GSL_SUCCESS; i++)
            *lambda = exp(gsl_min_fminimizer_x_minimum(search));
    gsl_min_fminimizer_free(search);
    return SF_OK;
}

/* QR of (1, x, y): basis gets the columns of Q beyond the third; planes gets R^-1 Q1', 3 x count.
 */
static sf_status split_planes(const sf_point *points, size_t count, double *basis, double *planes)
{
    double *columns = array_new(count * 3, sizeof *columns);
    double *rotation = array_new(count * count, sizeof *rotation);
    double tau_values[3], upper[9];
    sf_status status = columns && rotation ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        gsl_matrix_view table = gsl_matrix_view_array(columns, count, 3);
        gsl_matrix_view turned = gsl_matrix_view_array(rotation, count, count);
        gsl_vector_view tau = gsl_vector_view_array(tau_values, 3);
        for (size_t i = 0; i < count; i++) {
            columns[i * 3] = 1;
            columns[i * 3 + 1] = points[i].x_mm;
            columns[i * 3 + 2] = points[i].y_mm;
            rotation[i * count + i] = 1;
        }
        gsl_linalg_QR_decomp(&table.matrix, &tau.vector);
        for (size_t i = 0; i < count; i++) { /* rows of rotation become rows of Q */
            gsl_vector_view row = gsl_matrix_row(&turned.matrix, i);
            gsl_linalg_QR_QTvec(&table.matrix, &tau.vector, &row.vector);
        }
        memcpy(upper, columns, sizeof upper);
        double scale = fabs(upper[0]) + fabs(upper[4]) + fabs(upper[8]);
        if (fabs(upper[4]) < FLAT * scale || fabs(upper[8]) < FLAT * scale)
            status = SF_ERROR_DATA;
    }
    for (size_t i = 0; status == SF_OK && i < count; i++) {
        memcpy(basis + i * (count - 3), rotation + i * count + 3, (count - 3) * sizeof *basis);
        double p2 = rotation[i * count + 2] / upper[8];
        double p1 = (rotation[i * count + 1] - upper[5] * p2) / upper[4];
        planes[2 * count + i] = p2;
        planes[count + i] = p1;
        planes[i] = (rotation[i * count] - upper[1] * p1 - upper[2] * p2) / upper[0];
    }
    free(columns);
    free(rotation);
    return status;
}

/* Diagonalises basis' K basis; the basis is turned along. */
static sf_status diagonalise(spectrum *of, const double *kernels, const double *values)
{
    size_t count = of->count, rest = of->rest;
    double *half = array_new(count * rest, sizeof *half);
    double *inner = array_new(rest * rest, sizeof *inner);
    double *vectors = array_new(rest * rest, sizeof *vectors);
    gsl_eigen_symmv_workspace *space = gsl_eigen_symmv_alloc(rest);
    sf_status status = half && inner && vectors && space ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        gsl_matrix_view basis = gsl_matrix_view_array(of->basis, count, rest);
        gsl_matrix_const_view full = gsl_matrix_const_view_array(kernels, count, count);
        gsl_matrix_view product = gsl_matrix_view_array(half, count, rest);
        gsl_matrix_view reduced = gsl_matrix_view_array(inner, rest, rest);
        gsl_matrix_view turned = gsl_matrix_view_array(vectors, rest, rest);
        gsl_vector_view eigenvalues = gsl_vector_view_array(of->eigenvalues, rest);
        gsl_vector_const_view z = gsl_vector_const_view_array(values, count);
        gsl_vector_view projected = gsl_vector_view_array(of->projected, rest);
        gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, 1, &full.matrix, &basis.matrix, 0,
                       &product.matrix);
        gsl_blas_dgemm(CblasTrans, CblasNoTrans, 1, &basis.matrix, &product.matrix, 0,
                       &reduced.matrix);
        if (gsl_eigen_symmv(&reduced.matrix, &eigenvalues.vector, &turned.matrix, space))
            status = SF_ERROR_NUMERIC;
        gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, 1, &basis.matrix, &turned.matrix, 0,
                       &product.matrix);
        memcpy(of->basis, half, count * rest * sizeof *half);
        gsl_blas_dgemv(CblasTrans, 1, &basis.matrix, &z.vector, 0, &projected.vector);
    }
    if (space)
        gsl_eigen_symmv_free(space);
    free(half);
    free(inner);
    free(vectors);
    return status;
}

/* influence = basis (D + lambda)^-1 basis', plane = planes (I - K influence), and coefficients. */
static void set_smoother(const spectrum *of, const double *kernels, const double *planes,
                         const double *values, thin_plate *made)
{
    size_t count = of->count;
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++) {
            double sum = 0;
            for (size_t r = 0; r < of->rest; r++)
                sum += of->basis[i * of->rest + r] * of->basis[k * of->rest + r] /
                       (of->eigenvalues[r] + made->lambda);
            made->adjoint[i * count + k] = sum;
        }
    for (size_t i = 0; i < count; i++)
        made->coefficients[i] = dot(made->adjoint + i * count, values, count);
    for (size_t p = 0; p < 3; p++) {
        double *row = made->plane + p * count;
        memcpy(row, planes + p * count, count * sizeof *row);
        for (size_t k = 0; k < count; k++) {
            double weight = dot(planes + p * count, kernels + k * count, count);
            for (size_t i = 0; i < count; i++)
                row[i] -= weight * made->adjoint[k * count + i];
        }
        made->coefficients[count + p] = dot(row, values, count);
    }
}

static bool definite(const spectrum *of)
{
    double least = INFINITY, most = 0;
    for (size_t i = 0; i < of->rest; i++) {
        least = fmin(least, of->eigenvalues[i]);
        most = fmax(most, of->eigenvalues[i]);
    }
    return least > FLAT * most;
}

sf_status thin_plate_fit(const sf_point *points, const double *values, size_t count, double lambda,
                         thin_plate *made)
{
    *made = (thin_plate){.count = count, .points = points, .lambda = lambda};
    if (count < THIN_PLATE_POINTS_LEAST || count > THIN_PLATE_POINTS_MOST)
        return SF_ERROR_DATA;
    spectrum of = {.count = count, .rest = count - 3};
    of.basis = array_new(count * of.rest, sizeof(double));
    of.eigenvalues = array_new(of.rest, sizeof(double));
    of.projected = array_new(of.rest, sizeof(double));
    made->adjoint = array_new(count * count, sizeof(double));
    made->plane = array_new(3 * count, sizeof(double));
    made->coefficients = array_new(count + 3, sizeof(double));
    double *kernels = array_new(count * count, sizeof *kernels);
    double *planes = array_new(3 * count, sizeof *planes);
    sf_status status = of.basis && of.eigenvalues && of.projected && made->adjoint && made->plane &&
                               made->coefficients && kernels && planes
                           ? SF_OK
                           : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = split_planes(points, count, of.basis, planes);
    if (status == SF_OK) {
        fill_kernel(points, count, kernels);
        status = diagonalise(&of, kernels, values);
    }
    if (status == SF_OK && lambda <= 0 && !definite(&of))
        status = SF_ERROR_NUMERIC; /* two values at one place cannot both be met */
    if (status == SF_OK && isnan(lambda))
        status = choose_lambda(&of, &made->lambda);
    if (status == SF_OK) {
        double squares;
        made->criterion = criterion_at(&of, made->lambda, &made->freedom, &squares);
        made->variance = squares / ((double)count - made->freedom);
        set_smoother(&of, kernels, planes, values, made);
        for (size_t i = 0; i < count + 3; i++)
            status = isfinite(made->coefficients[i]) ? status : SF_ERROR_NUMERIC;
    }
    free(of.basis);
    free(of.eigenvalues);
    free(of.projected);
    free(kernels);
    free(planes);
    return status;
}

void thin_plate_clear(thin_plate *made)
{
    free(made->adjoint);
    free(made->plane);
    free(made->coefficients);
    *made = (thin_plate){0};
}

double thin_plate_at(const thin_plate *of, double x_mm, double y_mm)
{
    const double *plane = of->coefficients + of->count;
    double sum = plane[0] + plane[1] * x_mm + plane[2] * y_mm;
    for (size_t i = 0; i < of->count; i++)
        sum += of->coefficients[i] * kernel(x_mm - of->points[i].x_mm, y_mm - of->points[i].y_mm);
    return sum;
}

double thin_plate_variance(const thin_plate *of, double x_mm, double y_mm, double *work)
{
    double *near = work, *weights = work + of->count, sum = 0;
    for (size_t i = 0; i < of->count; i++)
        near[i] = kernel(x_mm - of->points[i].x_mm, y_mm - of->points[i].y_mm);
    for (size_t i = 0; i < of->count; i++)
        weights[i] = dot(of->adjoint + i * of->count, near, of->count) + of->plane[i] +
                     of->plane[of->count + i] * x_mm + of->plane[2 * of->count + i] * y_mm;
    for (size_t i = 0; i < of->count; i++) {
        double between = of->lambda * weights[i];
        for (size_t k = 0; k < of->count; k++)
            between += weights[k] * kernel(of->points[i].x_mm - of->points[k].x_mm,
                                           of->points[i].y_mm - of->points[k].y_mm);
        sum += weights[i] * (between - 2 * near[i]);
    }
    return of->lambda > 0 ? fmax(sum, 0) * of->variance / of->lambda : NAN;
}
