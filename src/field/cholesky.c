/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Block solves on a CHOLMOD factor. */
#include "field/cholesky.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/wide.h"

#define BLOCK_COLUMNS 16          /* right-hand sides solved at once: what the caches hold */
#define TILE_ROWS 8               /* numbers in a line of a cache */
#define BACKWARD_ERROR_MOST 1e-10 /* some 1e-15 is rounding on a million cells */

void cholesky_start(cholmod_common *common)
{
    cholmod_start(common);
    common->print = 0;
    common->nmethods = 1;
    common->method[0].ordering = CHOLMOD_AMD;
    common->supernodal = CHOLMOD_SIMPLICIAL;
}

sf_status cholesky_status(const cholmod_common *common)
{
    int status = common->status;
    if (status == CHOLMOD_OUT_OF_MEMORY || status == CHOLMOD_TOO_LARGE)
        return SF_ERROR_MEMORY;
    return status < CHOLMOD_OK || status == CHOLMOD_NOT_POSDEF ? SF_ERROR_NUMERIC : SF_OK;
}

/* Passes over NAN. Four at once, so that none waits for the one before. */
WIDE static double largest(const double *values, size_t count)
{
    double most[4] = {0};
    size_t i = 0;
    for (; i + 4 <= count; i += 4)
        for (int lane = 0; lane < 4; lane++) {
            double size = fabs(values[i + lane]);
            most[lane] = size > most[lane] ? size : most[lane];
        }
    for (; i < count; i++)
        most[0] = fmax(most[0], fabs(values[i]));
    return fmax(fmax(most[0], most[1]), fmax(most[2], most[3]));
}

/* Some right-hand sides of one solve. `rows` of them stand column by column in `right`, and row by
 * row, in the factor's order, in `block`: what is done to a row is done to `lanes` numbers that
 * stand beside one another, of which those after `columns` are 0. */
typedef struct solve_block {
    const cholmod_factor *factor;
    const int *place; /* per row of `right`: its row in `block` */
    const double *right;
    double *block;
    size_t rows, columns, lanes;
} solve_block;

static bool all_zero(const double *row, size_t lanes)
{
    double sum = 0;
    for (size_t k = 0; k < lanes; k++)
        sum += fabs(row[k]);
    return sum == 0;
}

typedef double four __attribute__((vector_size(4 * sizeof(double)))); /* worked at once */

static inline void take_times(double *into, double factor, const double *from, size_t lanes)
{
    for (size_t k = 0; k + 3 < lanes; k += 4) {
        four sum, values;
        memcpy(&sum, into + k, sizeof sum);
        memcpy(&values, from + k, sizeof values);
        sum -= factor * values;
        memcpy(into + k, &sum, sizeof sum);
    }
    if (lanes == 1)
        *into -= factor * *from;
}

/* L y = b. Most right-hand sides begin at few places: columns before those are passed over. */
static inline void solve_lower(const cholmod_factor *factor, double *block, size_t lanes)
{
    const int *starts = factor->p, *counts = factor->nz, *rows = factor->i;
    const double *values = factor->x;
    for (size_t column = 0; column < factor->n; column++) {
        double from[BLOCK_COLUMNS];
        memcpy(from, block + column * lanes, lanes * sizeof *from);
        if (all_zero(from, lanes))
            continue;
        int end = starts[column] + counts[column];
        for (int at = starts[column] + 1; at < end; at++)
            take_times(block + (size_t)rows[at] * lanes, values[at], from, lanes);
    }
}

/* D L' x = y. */
static inline void solve_upper(const cholmod_factor *factor, double *block, size_t lanes)
{
    const int *starts = factor->p, *counts = factor->nz, *rows = factor->i;
    const double *values = factor->x;
    for (size_t column = factor->n; column-- > 0;) {
        double sum[BLOCK_COLUMNS];
        int end = starts[column] + counts[column];
        for (size_t k = 0; k < lanes; k++)
            sum[k] = block[column * lanes + k] / values[starts[column]];
        for (int at = starts[column] + 1; at < end; at++)
            take_times(sum, values[at], block + (size_t)rows[at] * lanes, lanes);
        memcpy(block + column * lanes, sum, lanes * sizeof *sum);
    }
}

/* The number of lanes is said anew, so that it is known when this is compiled. */
WIDE static void solve_lanes(const solve_block *of)
{
    switch (of->lanes) {
    case 1:
        solve_lower(of->factor, of->block, 1);
        solve_upper(of->factor, of->block, 1);
        break;
    case 4:
        solve_lower(of->factor, of->block, 4);
        solve_upper(of->factor, of->block, 4);
        break;
    case 8:
        solve_lower(of->factor, of->block, 8);
        solve_upper(of->factor, of->block, 8);
        break;
    default:
        solve_lower(of->factor, of->block, BLOCK_COLUMNS);
        solve_upper(of->factor, of->block, BLOCK_COLUMNS);
    }
}

static size_t lanes_for(size_t columns)
{
    return columns > 8 ? BLOCK_COLUMNS : columns > 4 ? 8 : columns > 1 ? 4 : 1;
}

/* A few rows of all columns at a time, as many as stand side by side in the caches. */
WIDE static void gather(const solve_block *of)
{
    size_t rows = of->rows, columns = of->columns, lanes = of->lanes;
    if (columns < lanes)
        memset(of->block, 0, rows * lanes * sizeof *of->block);
    for (size_t first = 0; first < rows; first += TILE_ROWS) {
        size_t end = first + TILE_ROWS < rows ? first + TILE_ROWS : rows;
        for (size_t k = 0; k < columns; k++)
            for (size_t from = first; from < end; from++)
                of->block[(size_t)of->place[from] * lanes + k] = of->right[k * rows + from];
    }
}

WIDE static void scatter(const solve_block *of, double *restrict solution)
{
    size_t rows = of->rows, columns = of->columns, lanes = of->lanes;
    for (size_t first = 0; first < rows; first += TILE_ROWS) {
        size_t end = first + TILE_ROWS < rows ? first + TILE_ROWS : rows;
        for (size_t k = 0; k < columns; k++)
            for (size_t into = first; into < end; into++)
                solution[k * rows + into] = of->block[(size_t)of->place[into] * lanes + k];
    }
}

/* The largest of a lane. Passes over NAN. */
WIDE static void largest_of_lanes(const solve_block *of, double *most)
{
    memset(most, 0, BLOCK_COLUMNS * sizeof *most);
    for (size_t row = 0; row < of->rows; row++)
        for (size_t k = 0; k < of->lanes; k++) {
            double size = fabs(of->block[row * of->lanes + k]);
            most[k] = size > most[k] ? size : most[k];
        }
}

/* Whether a block solves A x = b but for rounding: the backward error (N. J. Higham, Accuracy and
 * Stability of Numerical Algorithms, 2nd ed. (2002) section 7.1) of the sum of its columns, each
 * weighed by its own bound: what is wrong in one is wrong in the sum, at a product with A for all
 * of them. No two weigh the same, so that the errors of two alike do not cancel. */
static sf_status check_block(cholmod_sparse *matrix, double norm, const solve_block *of,
                             const cholesky_work *work, cholmod_common *common)
{
    double minus[2] = {-1, 0}, one[2] = {1, 0}, most[BLOCK_COLUMNS], weights[BLOCK_COLUMNS];
    const int *order = of->factor->Perm;
    double *left = work->residual->x, *sum = work->sum->x;
    largest_of_lanes(of, most);
    memset(left, 0, of->rows * sizeof *left);
    for (size_t k = 0; k < of->columns; k++) {
        const double *right = of->right + k * of->rows;
        double bound = norm * most[k] + largest(right, of->rows);
        weights[k] = (1 + (double)k / BLOCK_COLUMNS) / (bound > 0 ? bound : 1);
        for (size_t row = 0; row < of->rows; row++)
            left[row] += weights[k] * right[row];
    }
    for (size_t row = 0; row < of->rows; row++) {
        double solved = 0;
        for (size_t k = 0; k < of->columns; k++)
            solved += weights[k] * of->block[row * of->lanes + k];
        sum[order[row]] = solved;
    }
    if (!cholmod_sdmult(matrix, 0, minus, one, work->sum, work->residual, common))
        return SF_ERROR_MEMORY;
    for (size_t row = 0; row < of->rows; row++) {
        if (!isfinite(left[row]))
            return SF_ERROR_NUMERIC;
        if (!(fabs(left[row]) <= BACKWARD_ERROR_MOST))
            return SF_ERROR_SOLVE;
    }
    return SF_OK;
}

static bool work_new(cholesky_work *work, size_t rows, cholmod_common *common)
{
    if (!work->block)
        work->block = array_new(rows * BLOCK_COLUMNS, sizeof *work->block);
    if (!work->place)
        work->place = array_new(rows, sizeof *work->place);
    if (!work->residual)
        work->residual = cholmod_allocate_dense(rows, 1, rows, CHOLMOD_REAL, common);
    if (!work->sum)
        work->sum = cholmod_allocate_dense(rows, 1, rows, CHOLMOD_REAL, common);
    return work->block && work->place && work->residual && work->sum;
}

sf_status cholesky_solve(cholmod_sparse *matrix, cholmod_factor *factor, cholmod_common *common,
                         cholesky_work *work, const double *right, double *solution, size_t columns)
{
    size_t rows = factor->n;
    double norm = cholmod_norm_sparse(matrix, 0, common);
    sf_status status = work_new(work, rows, common) ? SF_OK : SF_ERROR_MEMORY;
    for (size_t row = 0; status == SF_OK && row < rows; row++)
        work->place[((const int *)factor->Perm)[row]] = (int)row;
    for (size_t done = 0; status == SF_OK && done < columns;) {
        size_t count = columns - done < BLOCK_COLUMNS ? columns - done : BLOCK_COLUMNS;
        const solve_block one = {.factor = factor,
                                 .place = work->place,
                                 .right = right + done * rows,
                                 .block = work->block,
                                 .rows = rows,
                                 .columns = count,
                                 .lanes = lanes_for(count)};
        gather(&one);
        solve_lanes(&one);
        status = check_block(matrix, norm, &one, work, common);
        scatter(&one, solution + done * rows);
        done += count;
    }
    return status;
}

void cholesky_work_clear(cholesky_work *work, cholmod_common *common)
{
    free(work->block);
    free(work->place);
    work->block = NULL;
    work->place = NULL;
    cholmod_free_dense(&work->residual, common);
    cholmod_free_dense(&work->sum, common);
}

double cholesky_log_determinant(const cholmod_factor *factor)
{
    const int *starts = factor->p;
    const double *values = factor->x;
    double sum = 0;
    for (size_t column = 0; column < factor->n; column++)
        sum += log(values[starts[column]]);
    return sum; /* of L D L', as CHOLMOD leaves simple factors unless told otherwise */
}
