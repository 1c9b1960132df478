/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Fitting at several spreading lengths, and averaging over them, whichever way the fits are made.
 */
#ifndef SPOTFIELD_FIELD_LENGTHS_H
#define SPOTFIELD_FIELD_LENGTHS_H

#include <stddef.h>

#include "field/balance.h"
#include "field/fit_data.h"

#define LENGTHS_MOST 5 /* in one pass */

/* Makes the fit of each of `count` tasks, elements of `size` bytes, all at once, each with a
 * balance of its own that is like the pattern. What `fit` answers that is not SF_OK, the first in
 * their order; SF_ERROR_MEMORY. */
sf_status lengths_fit(const balance *pattern, sf_status (*fit)(void *task, balance *matrix),
                      void *tasks, size_t count, size_t size);

/* Posterior weights, which sum to 1, from log densities; returns the index of the greatest. */
size_t lengths_weigh(const double *log_posteriors, size_t count, double *weights);

/* The weighted mean of count fields; how far they lie apart at every node, the variance of the
 * mixture of their means, is added to spread_k2, NULL for not. */
void lengths_average(const fit_data *data, const peaked_field *fields, const double *weights,
                     size_t count, const peaked_field *mean, double *spread_k2);

#endif
