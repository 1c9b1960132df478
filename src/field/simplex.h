/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The least of a function of a few logarithms, by simplex search. */
#ifndef SPOTFIELD_FIELD_SIMPLEX_H
#define SPOTFIELD_FIELD_SIMPLEX_H

#include <gsl/gsl_vector.h>
#include <stddef.h>

#include "spotfield/status.h"

#define SIMPLEX_STEP 0.4 /* first, in logarithms */

/* From `logs` (count of them), which then hold the place of the least that was found, to where the
 * simplex is smaller than `size`. SF_ERROR_MEMORY. */
sf_status simplex_minimise(double (*function)(const gsl_vector *logs, void *of), void *of,
                           double *logs, size_t count, double size);

#endif
