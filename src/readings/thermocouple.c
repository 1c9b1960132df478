/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Thermocouples: electromotive force against temperature and back, ITS-90 reference functions.
 * Used where a reading comes in millivolt. */
#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_poly.h>
#include <gsl/gsl_roots.h>

#include "spotfield/reading.h"

#define COLDEST_C (-20.0)
#define TERMS_MAX 15
#define ROOT_STEPS_MAX 100
#define ROOT_WIDTH_K 1e-9

/* Reference functions E = sum c_i t^i, E in mV, t in C: NIST Monograph 175 (1993), the same as
 * IEC 60584-1:2013. Type K above 0 C has an exponential besides. */
/* clang-format off */
static const double k_below_zero[TERMS_MAX] = {
    0, 0.394501280250e-01, 0.236223735980e-04, -0.328589067840e-06, -0.499048287770e-08,
    -0.675090591730e-10, -0.574103274280e-12, -0.310888728940e-14, -0.104516093650e-16,
    -0.198892668780e-19, -0.163226974860e-22};
static const double k_above_zero[TERMS_MAX] = {
    -0.176004136860e-01, 0.389212049750e-01, 0.185587700320e-04, -0.994575928740e-07,
    0.318409457190e-09, -0.560728448890e-12, 0.560750590590e-15, -0.320207200030e-18,
    0.971511471520e-22, -0.121047212750e-25};
static const double j_terms[TERMS_MAX] = {
    0, 0.503811878150e-01, 0.304758369300e-04, -0.856810657200e-07, 0.132281952950e-09,
    -0.170529583370e-12, 0.209480906970e-15, -0.125383953360e-18, 0.156317256970e-22};
static const double t_below_zero[TERMS_MAX] = {
    0, 0.387481063640e-01, 0.441944343470e-04, 0.118443231050e-06, 0.200329735540e-07,
    0.901380195590e-09, 0.226511565930e-10, 0.360711542050e-12, 0.384939398830e-14,
    0.282135219250e-16, 0.142515947790e-18, 0.487686622860e-21, 0.107955392700e-23,
    0.139450270620e-26, 0.797951539270e-30};
static const double t_above_zero[TERMS_MAX] = {
    0, 0.387481063640e-01, 0.332922278800e-04, 0.206182434040e-06, -0.218822568460e-08,
    0.109968809280e-10, -0.308157587720e-13, 0.454791352900e-16, -0.275129016730e-19};
/* clang-format on */

typedef struct reference {
    double hottest_c;
    const double *below_zero, *above_zero;
    double hump_mv, hump_per_k2, hump_c; /* hump_mv exp(hump_per_k2 (t - hump_c)^2) */
} reference;

static const reference references[] = {
    [SF_METHOD_THERMOCOUPLE_K] = {1372, k_below_zero, k_above_zero, 0.1185976, -0.1183432e-03,
                                  126.9686},
    [SF_METHOD_THERMOCOUPLE_J] = {760, j_terms, j_terms, 0, 0, 0},
    [SF_METHOD_THERMOCOUPLE_T] = {400, t_below_zero, t_above_zero, 0, 0, 0},
};

/* The reference of a thermocouple, NULL for another method. */
static const reference *find_reference(sf_method method)
{
    size_t count = sizeof references / sizeof references[0];
    return (int)method >= 0 && (size_t)method < count ? &references[method] : NULL;
}

static double emf_mv_at(const reference *type, double temp_c)
{
    if (temp_c < 0)
        return gsl_poly_eval(type->below_zero, TERMS_MAX, temp_c);
    double away_k = temp_c - type->hump_c;
    return gsl_poly_eval(type->above_zero, TERMS_MAX, temp_c) +
           type->hump_mv * exp(type->hump_per_k2 * away_k * away_k);
}

sf_status sf_thermocouple_emf(sf_method method, double temp_c, double *emf_mv)
{
    const reference *type = find_reference(method);
    if (!type || !(temp_c >= COLDEST_C && temp_c <= type->hottest_c))
        return SF_ERROR_ARGUMENT;
    *emf_mv = emf_mv_at(type, temp_c);
    return SF_OK;
}

typedef struct sought {
    const reference *type;
    double emf_mv;
} sought;

static double emf_missing_mv(double temp_c, void *parameter)
{
    const sought *target = parameter;
    return emf_mv_at(target->type, temp_c) - target->emf_mv;
}

/* Steps the solver until the bracket is narrow; the function rises all the way. */
static sf_status narrow(gsl_root_fsolver *solver, gsl_function *missing, double hottest_c,
                        double *temp_c)
{
    int code = gsl_root_fsolver_set(solver, missing, COLDEST_C, hottest_c);
    for (int step = 0; code == GSL_SUCCESS && step < ROOT_STEPS_MAX; step++) {
        code = gsl_root_fsolver_iterate(solver);
        if (code != GSL_SUCCESS)
            break;
        *temp_c = gsl_root_fsolver_root(solver);
        if (gsl_root_test_interval(gsl_root_fsolver_x_lower(solver),
                                   gsl_root_fsolver_x_upper(solver), ROOT_WIDTH_K,
                                   0) == GSL_SUCCESS)
            return SF_OK;
    }
    return SF_ERROR_NUMERIC;
}

sf_status sf_thermocouple_temp(sf_method method, double emf_mv, double junction_c, double *temp_c)
{
    const reference *type = find_reference(method);
    if (!type || !(junction_c >= SF_JUNCTION_C_MIN && junction_c <= SF_JUNCTION_C_MAX))
        return SF_ERROR_ARGUMENT;
    /* millivolts add, degrees do not: the function is curved */
    sought target = {type, emf_mv + emf_mv_at(type, junction_c)};
    if (!(target.emf_mv >= emf_mv_at(type, COLDEST_C) &&
          target.emf_mv <= emf_mv_at(type, type->hottest_c)))
        return SF_ERROR_ARGUMENT;
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    if (!solver)
        return SF_ERROR_MEMORY;
    gsl_function missing = {emf_missing_mv, &target};
    sf_status status = narrow(solver, &missing, type->hottest_c, temp_c);
    gsl_root_fsolver_free(solver);
    return status;
}
