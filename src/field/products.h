/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sums of products, which most of a fit's time goes into. */
#ifndef SPOTFIELD_FIELD_PRODUCTS_H
#define SPOTFIELD_FIELD_PRODUCTS_H

#include <stddef.h>

/* Sum of a by b over count values. */
double dot(const double *a, const double *b, size_t count);

/* The same with each of row_count rows, `stride` apart: faster than one by one. */
void dots(const double *a, const double *rows, size_t stride, size_t row_count, size_t count,
          double *sums);

/* Adds the same of both a and b to one value a row each: faster than one after the other. */
void add_dots_of_two(const double *a, const double *b, const double *rows, size_t stride,
                     size_t row_count, size_t count, double *of_a, double *of_b);

/* Adds values times factor to sum, over count values. */
void add_times(double *restrict sum, const double *restrict values, double factor, size_t count);

#endif
