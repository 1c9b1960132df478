/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How the board answers at one spreading length: the field of every source, the adjoint or discrete
 * Green's function of every reading (what heat anywhere does to it), and the covariances of heat
 * that nobody listed. */
#ifndef SPOTFIELD_FIELD_GREEN_H
#define SPOTFIELD_FIELD_GREEN_H

#include "field/balance.h"
#include "field/fit_data.h"
#include "field/products.h"

typedef struct green_functions {
    double length_mm;
    size_t nodes, readings, sources;
    double node_variance; /* heat variance a node for a field of unit sd on an endless board */
    double *adjoint;      /* readings rows of nodes: A^-1 h_i */
    double *uniform;      /* nodes: field of a background of 1 K, alike everywhere */
    double *fields;       /* sources rows of nodes: field of a source of 1 K mm2 */
    double *own;          /* per source: mean rise on its own footprint at 1 K mm2 */
    double own_median;
    double *uniform_at; /* per reading */
    double *source_at;  /* readings rows of sources */
    double *white;      /* readings x readings, white heat of unit field sd */
    double *patch;      /* readings x readings, white heat in proportion to the rise */
    double *copper_at;  /* readings rows of knots: change with the share of each */
    double *copper;     /* readings x readings, copper whose shares have unit sd */
    double *held;    /* the same, lower triangle, what no hyperparameter changes: background, shared
                        errors */
    double *away_mm; /* the same, lower triangle: how far apart */
} green_functions;

/* Factors the balance for the length and solves for every column above. White noise heat of
 * variance s2 per area makes a field of variance s2/(4 pi L^2) on an endless board: F. Lindgren,
 * H. Rue, J. Lindstroem, J. R. Stat. Soc. B 73 (2011) 423; P. Whittle, Biometrika 41 (1954) 434.
 * *answer is ended with green_functions_clear in any case. */
sf_status green_functions_make(const fit_data *data, balance *matrix, double length_mm,
                               green_functions *green);
void green_functions_clear(green_functions *green);

/* What a listed source of 1 K mm2 makes of a place, `sample` being that of the place. */
double source_value(const fit_data *data, const green_functions *green, size_t source,
                    const grid_sample *sample, sf_point place);

#endif
