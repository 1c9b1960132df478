/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cell values as a smooth surface over the board. */
#ifndef SPOTFIELD_FIELD_SURFACE_H
#define SPOTFIELD_FIELD_SURFACE_H

#include "field/grid.h"

typedef struct surface surface;

/* Lays bicubic splines (gsl_spline2d) over one value a node, extended past the edge so that no
 * wiggle appears there. The grid must outlive it. Freed with surface_free.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status surface_new(const grid *laid, const double *values, surface **made);
void surface_free(surface *made);

/* The surface at a place. Where all four cells about it are joined board, the spline, held within
 * the range of their values widened by a tenth, since a bicubic surface swings past a sharp peak;
 * beside an edge or slot, bilinear between the joined cells. */
double surface_at(const surface *of, double x_mm, double y_mm);

#endif
