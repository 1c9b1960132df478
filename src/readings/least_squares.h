/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One step of least squares on space that is asked for once; the map of the marks is fitted by such
 * steps. */
#ifndef SPOTFIELD_READINGS_LEAST_SQUARES_H
#define SPOTFIELD_READINGS_LEAST_SQUARES_H

#include <stdbool.h>
#include <stddef.h>

#include <gsl/gsl_matrix.h>
#include <gsl/gsl_vector.h>

#include "spotfield/status.h"

typedef struct least_squares {
    double *space;             /* behind all of these */
    gsl_matrix_view slopes;    /* equations x unknowns; used up by a solution */
    gsl_vector_view gap;       /* what is wanted less what is there, one an equation */
    gsl_vector_view step;      /* the solution */
    gsl_matrix_view right;     /* right singular vectors of the slopes */
    gsl_vector_view singular;  /* singular values, falling */
    gsl_vector_view projected; /* gap in the space of the unknowns */
} least_squares;

/* Space for equations >= unknowns; false where memory is short. It may be moved, not copied. */
bool least_squares_make(size_t equations, size_t unknowns, least_squares *made);
void least_squares_free(least_squares *ended);

/* Fills one equation: its slopes, as many as there are unknowns, and its gap. */
void least_squares_fill(least_squares *of, size_t equation, const double *slopes, double gap);

/* Finds the shortest step that brings slopes * step nearest to gap; what the equations do not hold
 * (a singular value below 1e-12 of the greatest) stays put. SF_ERROR_NUMERIC where a number is not
 * finite or the decomposition fails. */
sf_status least_squares_solve(least_squares *of);

/* Of the last solution: what to add to one unknown. */
double least_squares_step(const least_squares *of, size_t unknown);

/* Of the last solution: least over greatest singular value, how well the unknowns are held. */
double least_squares_hold(const least_squares *of);

#endif
