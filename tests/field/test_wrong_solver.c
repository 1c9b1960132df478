/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A library for linear algebra that answers wrongly, as one BLAS did under threads: the fit is
 * refused, and the readings are not blamed. */
#define _GNU_SOURCE /* RTLD_NEXT */
#include "support/check.h"

#include <dlfcn.h>
#include <gsl/gsl_errno.h>
#include <string.h>
#include <suitesparse/cholmod.h>

#include "field/scene.h"

typedef int factorizer(cholmod_sparse *, cholmod_factor *, cholmod_common *);

static bool wrong;

/* Stands before CHOLMOD's own and spoils one number of what that answers. */
int cholmod_factorize(cholmod_sparse *matrix, cholmod_factor *factor, cholmod_common *common)
{
    factorizer *own;
    void *found = dlsym(RTLD_NEXT, "cholmod_factorize");
    memcpy(&own, &found, sizeof own);
    int done = own(matrix, factor, common);
    if (wrong)
        ((double *)factor->x)[((int *)factor->p)[factor->n / 2]] *= 1.0001;
    return done;
}

static void a_wrong_solver_is_refused_and_not_laid_to_the_readings(void **state)
{
    (void)state;
    for (size_t count = 12; count <= 180; count += 168) { /* by the covariance, by the precision */
        scene job;
        sf_field *field;
        sf_diagnostics diagnostics = {0};
        wrong = false;
        scene_plain(&job);
        scene_scatter(&job, count, 0.4, 5);
        truth from = scene_truth(&job, 2.5);
        scene_read(&job, &from, 1, 7);
        truth_clear(&from);
        assert_int_equal(scene_fit(&job, &field, NULL), SF_OK);
        sf_field_free(field);
        wrong = true;
        assert_int_equal(scene_fit(&job, &field, &diagnostics), SF_ERROR_SOLVE);
        assert_true(
            complained_of(&diagnostics, SF_ERROR, "the fault is in a library on this system"));
        for (size_t i = 0; i < diagnostics.count; i++)
            assert_null(strstr(diagnostics.items[i].file, "readings"));
        sf_diagnostics_clear(&diagnostics);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_wrong_solver_is_refused_and_not_laid_to_the_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
