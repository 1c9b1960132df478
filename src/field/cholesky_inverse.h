/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The entries of a sparse matrix's inverse where its Cholesky factor has entries: the selected
 * inverse (K. Takahashi, J. Fagan, M. Chin, 8th PICA Conf. (1973) 63). */
#ifndef SPOTFIELD_FIELD_CHOLESKY_INVERSE_H
#define SPOTFIELD_FIELD_CHOLESKY_INVERSE_H

#include <suitesparse/cholmod.h>

#include "spotfield/status.h"

/* Entries of A^-1. Start from {0}. */
typedef struct cholesky_inverse {
    cholmod_factor *factor; /* L D L', its pattern that of the entries */
    double *values;         /* along the factor's columns */
    int *place;             /* per row of A: its place in the factor's order */
} cholesky_inverse;

/* Fills the inverse from the factor of A, last column first. *made is ended with
 * cholesky_inverse_clear in any case. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status cholesky_inverse_make(cholmod_factor *factor, cholmod_common *common,
                                cholesky_inverse *made);
void cholesky_inverse_clear(cholesky_inverse *made, cholmod_common *common);

/* (A^-1)_ij, for i and j that A or its factor joins; NAN for others. */
double cholesky_inverse_at(const cholesky_inverse *of, int i, int j);

#endif
