/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Two tools of the room for functions of one variable: where a rising one reaches zero, and the
 * integral of a smooth one. Neither allocates, neither can fail. */
#ifndef SPOTFIELD_LIFE_NUMERIC_H
#define SPOTFIELD_LIFE_NUMERIC_H

typedef double (*curve)(double at, const void *context);

/* Where a curve that never falls crosses zero between low and high: low where it is not below
 * zero even there, high where it does not rise above it. A jump across zero is found as well. */
double rising_root(curve rising, const void *context, double low, double high);

/* Integral from low to high by the 16-point Gauss-Legendre rule. */
double integral(curve smooth, const void *context, double low, double high);

#endif
