/* Block solves and selected inverse on a CHOLMOD factor. */
#include "field/sparse.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

#define BLOCK_COLUMNS 8           /* right-hand sides solved at once: what the caches hold */
#define BACKWARD_ERROR_MOST 1e-10 /* some 1e-15 is rounding on a million cells */

void sparse_start(cholmod_common *common)
{
    cholmod_start(common);
    common->print = 0;
    common->nmethods = 1;
    common->method[0].ordering = CHOLMOD_AMD;
    common->supernodal = CHOLMOD_SIMPLICIAL;
}

sf_status sparse_status(const cholmod_common *common)
{
    int status = common->status;
    if (status == CHOLMOD_OUT_OF_MEMORY || status == CHOLMOD_TOO_LARGE)
        return SF_ERROR_MEMORY;
    return status < CHOLMOD_OK || status == CHOLMOD_NOT_POSDEF ? SF_ERROR_NUMERIC : SF_OK;
}

/* Passes over NAN. Four at once, so that none waits for the one before. */
static double largest(const double *values, size_t count)
{
    double most[4] = {0};
    for (size_t i = 0; i < count; i++) {
        double size = fabs(values[i]);
        most[i % 4] = size > most[i % 4] ? size : most[i % 4];
    }
    return fmax(fmax(most[0], most[1]), fmax(most[2], most[3]));
}

static void add_column(double *into, const double *column, double weight, size_t rows)
{
    for (size_t i = 0; i < rows; i++)
        into[i] += weight * column[i];
}

/* Whether a block solves A x = b but for rounding: the backward error (N. J. Higham, Accuracy and
 * Stability of Numerical Algorithms, 2nd ed. (2002) section 7.1) of the sum of its columns, each
 * weighed by its own bound: what is wrong in one is wrong in the sum, at a product with A for all
 * of them. No two weigh the same, so that the errors of two alike do not cancel. */
static sf_status check_block(cholmod_sparse *matrix, double norm, cholmod_dense *block,
                             sparse_work *work, cholmod_common *common)
{
    double minus[2] = {-1, 0}, one[2] = {1, 0};
    size_t rows = block->nrow;
    const double *solved = work->solved->x, *right = block->x;
    if (!work->residual)
        work->residual = cholmod_allocate_dense(rows, 1, rows, CHOLMOD_REAL, common);
    if (!work->sum)
        work->sum = cholmod_allocate_dense(rows, 1, rows, CHOLMOD_REAL, common);
    if (!work->residual || !work->sum)
        return SF_ERROR_MEMORY;
    double *left = work->residual->x;
    memset(left, 0, rows * sizeof *left);
    memset(work->sum->x, 0, rows * sizeof *left);
    for (size_t column = 0; column < block->ncol; column++) {
        size_t at = column * rows;
        double bound = norm * largest(solved + at, rows) + largest(right + at, rows);
        double weight = (1 + (double)column / BLOCK_COLUMNS) / (bound > 0 ? bound : 1);
        add_column(left, right + at, weight, rows);
        add_column(work->sum->x, solved + at, weight, rows);
    }
    if (!cholmod_sdmult(matrix, 0, minus, one, work->sum, work->residual, common))
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < rows; i++) {
        if (!isfinite(left[i]))
            return SF_ERROR_NUMERIC;
        if (!(fabs(left[i]) <= BACKWARD_ERROR_MOST))
            return SF_ERROR_SOLVE;
    }
    return SF_OK;
}

sf_status sparse_solve(cholmod_sparse *matrix, cholmod_factor *factor, cholmod_common *common,
                       sparse_work *work, const double *right, double *solution, size_t columns)
{
    size_t rows = factor->n;
    double norm = cholmod_norm_sparse(matrix, 0, common);
    sf_status status = SF_OK;
    for (size_t done = 0; status == SF_OK && done < columns; done += BLOCK_COLUMNS) {
        size_t count = columns - done < BLOCK_COLUMNS ? columns - done : BLOCK_COLUMNS;
        cholmod_dense block = {.nrow = rows,
                               .ncol = count,
                               .nzmax = rows * count,
                               .d = rows,
                               .x = (void *)(uintptr_t)(right + done * rows),
                               .xtype = CHOLMOD_REAL,
                               .dtype = CHOLMOD_DOUBLE};
        if (!cholmod_solve2(CHOLMOD_A, factor, &block, NULL, &work->solved, NULL, &work->half_way,
                            &work->scratch, common))
            return sparse_status(common) == SF_OK ? SF_ERROR_NUMERIC : sparse_status(common);
        status = check_block(matrix, norm, &block, work, common);
        memcpy(solution + done * rows, work->solved->x, rows * count * sizeof *solution);
    }
    return status;
}

void sparse_work_clear(sparse_work *work, cholmod_common *common)
{
    cholmod_free_dense(&work->solved, common);
    cholmod_free_dense(&work->half_way, common);
    cholmod_free_dense(&work->scratch, common);
    cholmod_free_dense(&work->residual, common);
    cholmod_free_dense(&work->sum, common);
}

double sparse_log_determinant(const cholmod_factor *factor)
{
    const int *starts = factor->p;
    const double *values = factor->x;
    double sum = 0;
    for (size_t column = 0; column < factor->n; column++)
        sum += log(values[starts[column]]);
    return sum; /* of L D L', as CHOLMOD leaves simple factors unless told otherwise */
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

sf_status sparse_inverse_make(cholmod_factor *factor, cholmod_common *common, sparse_inverse *made)
{
    *made = (sparse_inverse){.factor = cholmod_copy_factor(factor, common)};
    /* simple columns of L D L', packed and in order */
    if (!made->factor || !cholmod_change_factor(CHOLMOD_REAL, 0, 0, 1, 1, made->factor, common))
        return SF_ERROR_MEMORY;
    made->values = array_new(made->factor->nzmax, sizeof *made->values);
    made->place = array_new(made->factor->n, sizeof *made->place);
    if (!made->values || !made->place)
        return SF_ERROR_MEMORY;
    const int *starts = made->factor->p, *order = made->factor->Perm;
    for (size_t column = made->factor->n; column-- > 0;) {
        made->place[order[column]] = (int)column;
        invert_column(made->factor, (int)column, made->values);
        if (!isfinite(made->values[starts[column]]))
            return SF_ERROR_NUMERIC;
    }
    return SF_OK;
}

void sparse_inverse_clear(sparse_inverse *made, cholmod_common *common)
{
    cholmod_free_factor(&made->factor, common);
    free(made->values);
    free(made->place);
    *made = (sparse_inverse){0};
}

double sparse_inverse_at(const sparse_inverse *of, int i, int j)
{
    const int *starts = of->factor->p, *counts = of->factor->nz, *rows = of->factor->i;
    int row = of->place[i], column = of->place[j];
    if (row < column) {
        int other = row;
        row = column;
        column = other;
    }
    int low = starts[column], high = low + counts[column] - 1;
    while (low < high) { /* the rows of a column rise */
        int middle = low + (high - low) / 2;
        if (rows[middle] < row)
            low = middle + 1;
        else
            high = middle;
    }
    return rows[low] == row ? of->values[low] : NAN;
}
