/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The thin-plate smoothing spline itself, apart from boards. */
#ifndef SPOTFIELD_FIELD_THIN_PLATE_H
#define SPOTFIELD_FIELD_THIN_PLATE_H

#include <stddef.h>

#include "spotfield/geometry.h"
#include "spotfield/status.h"

#define THIN_PLATE_POINTS_LEAST 4
#define THIN_PLATE_POINTS_MOST 1000

/* A fitted spline f(x) = k(x)' c + (1, x, y) d, k the kernel r^2 ln r / (8 pi): linear in the
 * values z, so c = influence z and d = plane z. */
typedef struct thin_plate {
    size_t count;
    const sf_point *points;
    double *adjoint;      /* count x count */
    double *plane;        /* 3 x count */
    double *coefficients; /* count, then 3 of the plane */
    double lambda;        /* smoothing: [K + lambda I, T; T', 0] */
    double freedom;       /* effective degrees of freedom, trace of the smoother */
    double criterion;     /* generalized cross-validation, n RSS / (n - freedom)^2 */
    double variance;      /* RSS / (n - freedom) */
} thin_plate;

/* Fits count points (THIN_PLATE_POINTS_LEAST to _MOST, not all on a line) with their values.
 * lambda not negative, or NAN: chosen by generalized cross-validation (P. Craven and G. Wahba,
 * Numer. Math. 31 (1979) 377). `points` must outlive *made, which is ended with thin_plate_clear
 * in any case. SF_ERROR_DATA (points), SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status thin_plate_fit(const sf_point *points, const double *values, size_t count, double lambda,
                         thin_plate *made);
void thin_plate_clear(thin_plate *made);

double thin_plate_at(const thin_plate *of, double x_mm, double y_mm);

/* Variance of the spline at a place under its own model, residual variance over lambda as the
 * scale of the kernel (G. Wahba, J. R. Stat. Soc. B 45 (1983) 133). `work` holds 2 count values. */
double thin_plate_variance(const thin_plate *of, double x_mm, double y_mm, double *work);

#endif
