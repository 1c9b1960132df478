/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A Gaussian Markov random field: heat that is independent from node to node, seen by many
 * readings, through its precision Q = A D^-1 A + H' R^-1 H, sparse where the covariance of the
 * readings is full. */
#ifndef SPOTFIELD_FIELD_PRECISION_H
#define SPOTFIELD_FIELD_PRECISION_H

#include "field/balance.h"

typedef struct precision precision;

/* Factors Q from the balance A as it stands, `heat` the variance D at every node (above 0) and
 * readings of variance_k2 (above 0) that see the field through `samples`, which must outlive it.
 * Cost: readings + nodes^1.5. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. Freed with precision_free. */
sf_status precision_new(const balance *matrix, const double *heat, const grid_sample *samples,
                        const double *variance_k2, size_t readings, precision **made);
void precision_free(precision *made);

/* Field of the readings' values: fields = Q^-1 H' R^-1 values, `columns` times one value a reading
 * and one value a node. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status precision_solve_readings(precision *of, const double *values, double *fields,
                                   size_t columns);

/* Q^-1 times `columns` fields; `solution` may be the same array. */
sf_status precision_solve(precision *of, const double *right, double *solution, size_t columns);

/* Variance of the heat's field that the readings leave, at every node and, NULL for neither, at
 * every reading: diag Q^-1 and h' Q^-1 h. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status precision_variance(precision *of, double *at_nodes, double *at_readings);

/* ln det Q. */
double precision_log_determinant(const precision *of);

#endif
