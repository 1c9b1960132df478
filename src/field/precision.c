/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Builds, factors and inverts the sparse precision of the field under white heat. */
#include "field/precision.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/cholesky_inverse.h"

struct precision {
    cholmod_common common;
    cholmod_sparse *matrix; /* one triangle */
    cholmod_factor *factor;
    cholesky_work work;
    size_t nodes, readings;
    const grid_sample *samples;
    const double *variance_k2;
};

/* Both triangles of A with its columns divided by the heat's standard deviation. */
static cholmod_sparse *weighed_balance(const balance *matrix, const double *heat,
                                       cholmod_common *common)
{
    cholmod_sparse *root =
        cholmod_copy((cholmod_sparse *)(uintptr_t)balance_matrix(matrix), 0, 1, common);
    cholmod_dense *scale =
        root ? cholmod_allocate_dense(root->ncol, 1, root->ncol, CHOLMOD_REAL, common) : NULL;
    for (size_t node = 0; scale && node < root->ncol; node++)
        ((double *)scale->x)[node] = 1 / sqrt(heat[node]);
    if (!scale || !cholmod_scale(scale, CHOLMOD_COL, root, common))
        cholmod_free_sparse(&root, common);
    cholmod_free_dense(&scale, common);
    return root;
}

/* H' R^-1/2, nodes x readings. */
static cholmod_sparse *weighed_samples(const precision *of, cholmod_common *common)
{
    cholmod_sparse *root = cholmod_allocate_sparse(of->nodes, of->readings, 4 * of->readings, 0, 1,
                                                   0, CHOLMOD_REAL, common);
    if (!root)
        return NULL;
    int *starts = root->p, *rows = root->i, entry = 0;
    double *values = root->x;
    for (size_t i = 0; i < of->readings; i++) {
        starts[i] = entry;
        for (size_t k = 0; k < of->samples[i].count; k++) {
            rows[entry] = of->samples[i].nodes[k];
            values[entry++] = of->samples[i].weights[k] / sqrt(of->variance_k2[i]);
        }
    }
    starts[of->readings] = entry;
    return root;
}

/* root root', one triangle of it; frees root. */
static cholmod_sparse *square(cholmod_sparse *root, cholmod_common *common)
{
    cholmod_sparse *whole = root ? cholmod_aat(root, NULL, 0, 1, common) : NULL;
    cholmod_free_sparse(&root, common);
    if (whole)
        whole->stype = 1; /* the other triangle is passed over */
    return whole;
}

static sf_status factor_sum(precision *of, cholmod_sparse *prior, cholmod_sparse *seen)
{
    double one[2] = {1, 0};
    of->matrix = prior && seen ? cholmod_add(prior, seen, one, one, 1, 1, &of->common) : NULL;
    if (of->matrix)
        of->factor = cholmod_analyze(of->matrix, &of->common);
    if (of->factor)
        cholmod_factorize(of->matrix, of->factor, &of->common);
    sf_status status = cholesky_status(&of->common);
    return status == SF_OK && !of->factor ? SF_ERROR_MEMORY : status;
}

sf_status precision_new(const balance *matrix, const double *heat, const grid_sample *samples,
                        const double *variance_k2, size_t readings, precision **made)
{
    *made = NULL;
    precision *of = array_new(1, sizeof *of);
    if (!of)
        return SF_ERROR_MEMORY;
    *of = (precision){.nodes = balance_matrix(matrix)->nrow,
                      .readings = readings,
                      .samples = samples,
                      .variance_k2 = variance_k2};
    cholesky_start(&of->common);
    cholmod_sparse *prior = square(weighed_balance(matrix, heat, &of->common), &of->common);
    cholmod_sparse *seen = square(weighed_samples(of, &of->common), &of->common);
    sf_status status = factor_sum(of, prior, seen);
    cholmod_free_sparse(&prior, &of->common);
    cholmod_free_sparse(&seen, &of->common);
    if (status != SF_OK) {
        precision_free(of);
        return status;
    }
    *made = of;
    return SF_OK;
}

void precision_free(precision *made)
{
    if (!made)
        return;
    cholesky_work_clear(&made->work, &made->common);
    cholmod_free_sparse(&made->matrix, &made->common);
    cholmod_free_factor(&made->factor, &made->common);
    cholmod_finish(&made->common);
    free(made);
}

sf_status precision_solve_readings(precision *of, const double *values, double *fields,
                                   size_t columns)
{
    memset(fields, 0, columns * of->nodes * sizeof *fields);
    for (size_t column = 0; column < columns; column++)
        for (size_t i = 0; i < of->readings; i++)
            for (size_t k = 0; k < of->samples[i].count; k++)
                fields[column * of->nodes + (size_t)of->samples[i].nodes[k]] +=
                    of->samples[i].weights[k] * values[column * of->readings + i] /
                    of->variance_k2[i];
    return precision_solve(of, fields, fields, columns);
}

sf_status precision_solve(precision *of, const double *right, double *solution, size_t columns)
{
    return cholesky_solve(of->matrix, of->factor, &of->common, &of->work, right, solution, columns);
}

static double sample_variance(const cholesky_inverse *inverse, const grid_sample *sample)
{
    double sum = 0;
    for (size_t a = 0; a < sample->count; a++)
        for (size_t b = 0; b < sample->count; b++)
            sum += sample->weights[a] * sample->weights[b] *
                   cholesky_inverse_at(inverse, sample->nodes[a], sample->nodes[b]);
    return sum;
}

sf_status precision_variance(precision *of, double *at_nodes, double *at_readings)
{
    cholesky_inverse inverse;
    sf_status status = cholesky_inverse_make(of->factor, &of->common, &inverse);
    for (int node = 0; status == SF_OK && at_nodes && node < (int)of->nodes; node++)
        at_nodes[node] = cholesky_inverse_at(&inverse, node, node);
    for (size_t i = 0; status == SF_OK && at_readings && i < of->readings; i++)
        at_readings[i] = sample_variance(&inverse, &of->samples[i]);
    cholesky_inverse_clear(&inverse, &of->common);
    return status;
}

double precision_log_determinant(const precision *of)
{
    return cholesky_log_determinant(of->factor);
}
