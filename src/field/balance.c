/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The sparse matrix of the heat balance and its Cholesky factor (CHOLMOD). */
#include "field/balance.h"

#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/cholesky_inverse.h"

struct balance {
    const grid *laid;
    cholmod_common common;
    cholmod_sparse *matrix; /* lower triangle, column by column */
    cholmod_factor *factor;
    int *diagonal;      /* per node: where its diagonal stands in the matrix */
    double *link_count; /* per node: number of its links */
    cholesky_work work;
};

/* Column starts: one diagonal a node, and one entry for each link under its first node. */
static void lay_pattern(balance *prepared)
{
    const grid *laid = prepared->laid;
    int *starts = prepared->matrix->p, *rows = prepared->matrix->i;
    for (size_t link = 0; link < laid->link_count; link++)
        starts[laid->links[link].first + 1]++;
    for (size_t node = 0; node < laid->nodes; node++) {
        starts[node + 1] += starts[node] + 1;
        prepared->diagonal[node] = starts[node];
        rows[starts[node]] = (int)node;
    }
    /* links come in the order of their first node, right before up: rows rise within a column */
    for (size_t link = 0, within = 0; link < laid->link_count; link++) {
        grid_link pair = laid->links[link];
        within = link > 0 && laid->links[link - 1].first == pair.first ? within + 1 : 1;
        rows[starts[pair.first] + (int)within] = pair.second;
        prepared->link_count[pair.first]++;
        prepared->link_count[pair.second]++;
    }
}

static void fill_values(balance *prepared, double coupling, const double *loss)
{
    double *values = prepared->matrix->x;
    const int *starts = prepared->matrix->p;
    for (size_t i = 0; i < (size_t)starts[prepared->laid->nodes]; i++)
        values[i] = -coupling;
    for (size_t node = 0; node < prepared->laid->nodes; node++)
        values[prepared->diagonal[node]] =
            (loss ? loss[node] : 1) + coupling * prepared->link_count[node];
}

/* All but values and factor; what is there already is freed with balance_free after a failure. */
static sf_status lay_matrix(const grid *laid, balance *made)
{
    cholesky_start(&made->common);
    made->laid = laid;
    size_t entries = laid->nodes + laid->link_count;
    made->matrix = cholmod_allocate_sparse(laid->nodes, laid->nodes, entries, 1, 1, -1,
                                           CHOLMOD_REAL, &made->common);
    made->diagonal = array_new(laid->nodes, sizeof *made->diagonal);
    made->link_count = array_new(laid->nodes, sizeof *made->link_count);
    if (!made->matrix || !made->diagonal || !made->link_count)
        return SF_ERROR_MEMORY;
    memset(made->matrix->p, 0, (laid->nodes + 1) * sizeof(int));
    lay_pattern(made);
    return SF_OK;
}

static sf_status analyse(balance *made, const balance *like)
{
    if (like) {
        made->factor = cholmod_copy_factor(like->factor, &made->common);
    } else {
        fill_values(made, 1, NULL);
        made->factor = cholmod_analyze(made->matrix, &made->common);
    }
    return cholesky_status(&made->common);
}

static sf_status prepare(const grid *laid, const balance *like, balance **prepared)
{
    *prepared = NULL;
    balance *made = array_new(1, sizeof *made);
    if (!made)
        return SF_ERROR_MEMORY;
    sf_status status = lay_matrix(laid, made);
    if (status == SF_OK)
        status = analyse(made, like);
    if (status != SF_OK) {
        balance_free(made);
        return status;
    }
    *prepared = made;
    return SF_OK;
}

sf_status balance_new(const grid *laid, balance **prepared)
{
    return prepare(laid, NULL, prepared);
}

sf_status balance_like(const balance *other, balance **prepared)
{
    return prepare(other->laid, other, prepared);
}

sf_status balance_factor(balance *prepared, double length_mm, const double *loss)
{
    double steps = length_mm / prepared->laid->cell_mm;
    fill_values(prepared, steps * steps, loss);
    cholmod_factorize(prepared->matrix, prepared->factor, &prepared->common);
    return cholesky_status(&prepared->common);
}

sf_status balance_solve(balance *prepared, const double *right, double *solution, size_t columns)
{
    return cholesky_solve(prepared->matrix, prepared->factor, &prepared->common, &prepared->work,
                          right, solution, columns);
}

sf_status balance_inverse_diagonal(balance *prepared, double *diagonal)
{
    cholesky_inverse inverse;
    sf_status status = cholesky_inverse_make(prepared->factor, &prepared->common, &inverse);
    for (int node = 0; status == SF_OK && node < (int)prepared->laid->nodes; node++)
        diagonal[node] = cholesky_inverse_at(&inverse, node, node);
    cholesky_inverse_clear(&inverse, &prepared->common);
    return status;
}

double balance_factor_entries(const balance *prepared)
{
    return prepared->common.lnz;
}

const cholmod_sparse *balance_matrix(const balance *prepared)
{
    return prepared->matrix;
}

double balance_log_determinant(const balance *prepared)
{
    return cholesky_log_determinant(prepared->factor);
}

void balance_free(balance *prepared)
{
    if (!prepared)
        return;
    cholmod_free_sparse(&prepared->matrix, &prepared->common);
    cholmod_free_factor(&prepared->factor, &prepared->common);
    cholesky_work_clear(&prepared->work, &prepared->common);
    cholmod_finish(&prepared->common);
    free(prepared->diagonal);
    free(prepared->link_count);
    free(prepared);
}
