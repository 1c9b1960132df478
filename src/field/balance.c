/* The sparse matrix of the heat balance and its Cholesky factor (CHOLMOD). */
#include "field/balance.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <suitesparse/cholmod.h>

#include "core/memory.h"

#define BLOCK_COLUMNS 32 /* right-hand sides solved at once: what the caches hold */

struct balance {
    const grid *laid;
    cholmod_common common;
    cholmod_sparse *matrix; /* lower triangle, column by column */
    cholmod_factor *factor;
    int *diagonal;      /* per node: where its diagonal stands in the matrix */
    double *link_count; /* per node: number of its links */
    cholmod_dense *solved, *half_way, *scratch; /* kept from solve to solve */
};

static sf_status cholmod_status(const balance *prepared)
{
    int status = prepared->common.status;
    if (status == CHOLMOD_OUT_OF_MEMORY || status == CHOLMOD_TOO_LARGE)
        return SF_ERROR_MEMORY;
    return status < CHOLMOD_OK || status == CHOLMOD_NOT_POSDEF ? SF_ERROR_NUMERIC : SF_OK;
}

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

sf_status balance_new(const grid *laid, balance **prepared)
{
    *prepared = NULL;
    balance *made = array_new(1, sizeof *made);
    if (!made)
        return SF_ERROR_MEMORY;
    cholmod_start(&made->common);
    made->common.print = 0;
    made->common.nmethods = 1;
    made->common.method[0].ordering = CHOLMOD_METIS;
    made->laid = laid;
    size_t entries = laid->nodes + laid->link_count;
    made->matrix = cholmod_allocate_sparse(laid->nodes, laid->nodes, entries, 1, 1, -1,
                                           CHOLMOD_REAL, &made->common);
    made->diagonal = array_new(laid->nodes, sizeof *made->diagonal);
    made->link_count = array_new(laid->nodes, sizeof *made->link_count);
    sf_status status = made->diagonal && made->link_count ? cholmod_status(made) : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        memset(made->matrix->p, 0, (laid->nodes + 1) * sizeof(int));
        lay_pattern(made);
        fill_values(made, 1, NULL);
        made->factor = cholmod_analyze(made->matrix, &made->common);
        status = cholmod_status(made);
    }
    if (status != SF_OK) {
        balance_free(made);
        return status;
    }
    *prepared = made;
    return SF_OK;
}

sf_status balance_factor(balance *prepared, double length_mm, const double *loss)
{
    double steps = length_mm / prepared->laid->cell_mm;
    fill_values(prepared, steps * steps, loss);
    cholmod_factorize(prepared->matrix, prepared->factor, &prepared->common);
    return cholmod_status(prepared);
}

sf_status balance_solve(balance *prepared, const double *right, double *solution, size_t columns)
{
    size_t rows = prepared->laid->nodes;
    for (size_t done = 0; done < columns; done += BLOCK_COLUMNS) {
        size_t count = columns - done < BLOCK_COLUMNS ? columns - done : BLOCK_COLUMNS;
        cholmod_dense block = {.nrow = rows,
                               .ncol = count,
                               .nzmax = rows * count,
                               .d = rows,
                               .x = (void *)(uintptr_t)(right + done * rows),
                               .xtype = CHOLMOD_REAL,
                               .dtype = CHOLMOD_DOUBLE};
        if (!cholmod_solve2(CHOLMOD_A, prepared->factor, &block, NULL, &prepared->solved, NULL,
                            &prepared->half_way, &prepared->scratch, &prepared->common))
            return cholmod_status(prepared) == SF_OK ? SF_ERROR_NUMERIC : cholmod_status(prepared);
        memcpy(solution + done * rows, prepared->solved->x, rows * count * sizeof *solution);
    }
    for (size_t i = 0; i < rows * columns; i++)
        if (!isfinite(solution[i]))
            return SF_ERROR_NUMERIC;
    return SF_OK;
}

/* One column of the inverse below its diagonal, from the columns after it. */
static void invert_column(const cholmod_factor *factor, int column, double *inverse)
{
    const int *starts = factor->p, *counts = factor->nz, *rows = factor->i;
    const double *values = factor->x;
    int first = starts[column] + 1, end = starts[column] + counts[column];
    for (int b = first; b < end; b++) {
        int other = rows[b], at = starts[other], other_end = at + counts[other];
        inverse[b] -= values[b] * inverse[at];
        for (int a = b + 1; a < end; a++) {
            while (at < other_end && rows[at] < rows[a])
                at++;
            if (at == other_end)
                break;
            if (rows[at] != rows[a])
                continue;
            inverse[a] -= values[b] * inverse[at];
            inverse[b] -= values[a] * inverse[at];
        }
    }
    double diagonal = 1 / values[first - 1];
    for (int a = first; a < end; a++)
        diagonal -= values[a] * inverse[a];
    inverse[first - 1] = diagonal;
}

sf_status balance_inverse_diagonal(balance *prepared, double *diagonal)
{
    cholmod_common *common = &prepared->common;
    cholmod_factor *factor = cholmod_copy_factor(prepared->factor, common);
    if (!factor)
        return SF_ERROR_MEMORY;
    sf_status status = SF_OK;
    double *inverse = NULL;
    /* simple columns of L D L', packed and in order */
    if (!cholmod_change_factor(CHOLMOD_REAL, 0, 0, 1, 1, factor, common))
        status = SF_ERROR_MEMORY;
    if (status == SF_OK)
        inverse = array_new(factor->nzmax, sizeof *inverse);
    if (!inverse)
        status = SF_ERROR_MEMORY;
    const int *starts = factor->p, *order = factor->Perm;
    for (size_t column = factor->n; status == SF_OK && column-- > 0;) {
        invert_column(factor, (int)column, inverse);
        diagonal[order[column]] = inverse[starts[column]];
        if (!isfinite(inverse[starts[column]]))
            status = SF_ERROR_NUMERIC;
    }
    free(inverse);
    cholmod_free_factor(&factor, common);
    return status;
}

void balance_free(balance *prepared)
{
    if (!prepared)
        return;
    cholmod_free_sparse(&prepared->matrix, &prepared->common);
    cholmod_free_factor(&prepared->factor, &prepared->common);
    cholmod_free_dense(&prepared->solved, &prepared->common);
    cholmod_free_dense(&prepared->half_way, &prepared->common);
    cholmod_free_dense(&prepared->scratch, &prepared->common);
    cholmod_finish(&prepared->common);
    free(prepared->diagonal);
    free(prepared->link_count);
    free(prepared);
}
