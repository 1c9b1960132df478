/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Functions of one variable: where one crosses zero, what lies under one, and the places and
 * weights that a mean is taken over. */
#ifndef SPOTFIELD_CORE_CURVE_H
#define SPOTFIELD_CORE_CURVE_H

typedef double (*curve)(double at, const void *context);

/* Where a curve that never falls crosses zero between low and high: low where it is not below
 * zero even there, high where it does not rise above it. A jump across zero is found as well. */
double rising_root(curve rising, const void *context, double low, double high);

/* Integral from low to high by the 16-point Gauss-Legendre rule. */
double integral(curve smooth, const void *context, double low, double high);

/* A place of a rule of quadrature, and how much it counts. */
typedef struct curve_node {
    double place, weight;
} curve_node;

enum { LEGENDRE_NODES = 8, NORMAL_NODES = 3 };

/* Of one side of that rule, over -1 to 1. */
extern const curve_node legendre_nodes[LEGENDRE_NODES];

/* Gauss and Hermite's three nodes, in standard deviations: mean, variance and the next three
 * moments of a normal distribution. */
extern const curve_node normal_nodes[NORMAL_NODES];

#endif
