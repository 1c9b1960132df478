/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The selected inverse. With R the rows below a column's diagonal, l the factor there and d the
 * column's entry of D: Z_Rj = -Z_RR l and Z_jj = 1/d - l' Z_Rj. Z_RR is kept whole in one block,
 * and most columns add but one row to that of the column after them. */
#include "field/cholesky_inverse.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "field/products.h"

/* Z_RR, symmetric, the last row of R first, so that what a column adds comes last. */
typedef struct inverse_block {
    double *values; /* rows of `stride`, `size` of them in use */
    double *below;  /* l, in the block's order */
    double *sums;   /* -Z_Rj, in the block's order */
    size_t size, stride;
} inverse_block;

static void set_pair(inverse_block *block, size_t a, size_t b, double value)
{
    block->values[a * block->stride + b] = value;
    block->values[b * block->stride + a] = value;
}

/* The row of `column`, whose rows below are those that the block has. */
static void add_row(inverse_block *block, const double *inverse)
{
    size_t last = block->size++;
    for (size_t k = 0; k <= last; k++)
        set_pair(block, last, k, inverse[last - k]);
}

/* Every row below `column`, from the columns of the inverse that they are: each has entries in all
 * rows that come after it. */
static void gather_rows(const cholmod_factor *factor, int column, const double *inverse,
                        inverse_block *block)
{
    const int *starts = factor->p, *counts = factor->nz, *rows = factor->i;
    const int *below = rows + starts[column] + 1;
    block->size = (size_t)counts[column] - 1;
    for (size_t b = 0; b < block->size; b++) {
        int at = starts[below[b]];
        for (size_t a = b; a < block->size; a++) {
            while (rows[at] < below[a])
                at++;
            set_pair(block, block->size - 1 - a, block->size - 1 - b, inverse[at]);
        }
    }
}

/* Whether the rows below `column` are the next column and the rows below that. */
static bool goes_on(const cholmod_factor *factor, int column)
{
    const int *starts = factor->p, *counts = factor->nz, *rows = factor->i;
    return counts[column] > 1 && rows[starts[column] + 1] == column + 1 &&
           counts[column] == counts[column + 1] + 1;
}

static void invert_column(const cholmod_factor *factor, int column, inverse_block *block,
                          double *inverse)
{
    const int *starts = factor->p;
    const double *values = (const double *)factor->x + starts[column];
    if (goes_on(factor, column))
        add_row(block, inverse + starts[column + 1]);
    else
        gather_rows(factor, column, inverse, block);
    double *made = inverse + starts[column];
    size_t size = block->size;
    for (size_t k = 0; k < size; k++)
        block->below[k] = values[size - k];
    dots(block->below, block->values, block->stride, size, size, block->sums);
    for (size_t k = 0; k < size; k++)
        made[size - k] = -block->sums[k];
    made[0] = 1 / values[0] + dot(block->below, block->sums, size);
}

static bool block_new(const cholmod_factor *factor, inverse_block *made)
{
    const int *counts = factor->nz;
    size_t most = 1;
    for (size_t column = 0; column < factor->n; column++)
        most = (size_t)counts[column] > most ? (size_t)counts[column] : most;
    *made = (inverse_block){.values = array_new(most * most, sizeof *made->values),
                            .below = array_new(most, sizeof *made->below),
                            .sums = array_new(most, sizeof *made->sums),
                            .stride = most};
    return made->values && made->below && made->sums;
}

static void block_clear(inverse_block *block)
{
    free(block->values);
    free(block->below);
    free(block->sums);
}

static sf_status invert(cholesky_inverse *made, inverse_block *block)
{
    const int *starts = made->factor->p, *order = made->factor->Perm;
    for (size_t column = made->factor->n; column-- > 0;) {
        made->place[order[column]] = (int)column;
        invert_column(made->factor, (int)column, block, made->values);
        if (!isfinite(made->values[starts[column]]))
            return SF_ERROR_NUMERIC;
    }
    return SF_OK;
}

sf_status cholesky_inverse_make(cholmod_factor *factor, cholmod_common *common,
                                cholesky_inverse *made)
{
    *made = (cholesky_inverse){.factor = cholmod_copy_factor(factor, common)};
    /* simple columns of L D L', packed and in order */
    if (!made->factor || !cholmod_change_factor(CHOLMOD_REAL, 0, 0, 1, 1, made->factor, common))
        return SF_ERROR_MEMORY;
    made->values = array_new(made->factor->nzmax, sizeof *made->values);
    made->place = array_new(made->factor->n, sizeof *made->place);
    if (!made->values || !made->place)
        return SF_ERROR_MEMORY;
    inverse_block block;
    sf_status status = block_new(made->factor, &block) ? invert(made, &block) : SF_ERROR_MEMORY;
    block_clear(&block);
    return status;
}

void cholesky_inverse_clear(cholesky_inverse *made, cholmod_common *common)
{
    cholmod_free_factor(&made->factor, common);
    free(made->values);
    free(made->place);
    *made = (cholesky_inverse){0};
}

double cholesky_inverse_at(const cholesky_inverse *of, int i, int j)
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
