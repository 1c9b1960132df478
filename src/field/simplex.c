/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Simplex search by GSL (J. A. Nelder, R. Mead, Comput. J. 7 (1965) 308). */
#include "field/simplex.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multimin.h>
#include <string.h>

#define SIMPLEX_STEPS_MOST 300

sf_status simplex_minimise(double (*function)(const gsl_vector *logs, void *of), void *of,
                           double *logs, size_t count, double size)
{
    gsl_vector_view start = gsl_vector_view_array(logs, count);
    gsl_multimin_function sought = {function, count, of};
    gsl_vector *steps = gsl_vector_alloc(count);
    gsl_multimin_fminimizer *simplex =
        gsl_multimin_fminimizer_alloc(gsl_multimin_fminimizer_nmsimplex2, count);
    sf_status status = steps && simplex ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        gsl_vector_set_all(steps, SIMPLEX_STEP);
        int found = gsl_multimin_fminimizer_set(simplex, &sought, &start.vector, steps);
        for (int step = 0; found == GSL_SUCCESS && step < SIMPLEX_STEPS_MOST; step++) {
            found = gsl_multimin_fminimizer_iterate(simplex);
            if (gsl_multimin_test_size(gsl_multimin_fminimizer_size(simplex), size) == GSL_SUCCESS)
                break;
        }
        memcpy(logs, simplex->x->data, count * sizeof *logs);
    }
    if (simplex)
        gsl_multimin_fminimizer_free(simplex);
    gsl_vector_free(steps);
    return status;
}
