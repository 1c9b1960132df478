/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sampling a surface: along x once for each row of cells, then between rows. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "output/draw/padded_field.h"

enum { RIM = 2, NO_ROW = -1 };

/* how far beyond the four cells about it a sample may go, in shares of their range */
static const float widening = 0.1f;

/* Keys' kernel with a = -1/2 at t from the second of four cells to the third */
static void kernel(double t, double weights[4])
{
    weights[0] = t * (-0.5 + t * (1 - 0.5 * t));
    weights[1] = 1 + t * t * (-2.5 + 1.5 * t);
    weights[2] = t * (0.5 + t * (2 - 1.5 * t));
    weights[3] = t * t * (-0.5 + 0.5 * t);
}

/* the cell before a place, held so that the kernel stays inside the rim, and how far beyond it */
static size_t split(double at_mm, double cell_mm, size_t count, double *t)
{
    double at = at_mm / cell_mm - 0.5 + RIM;
    double cell = fmin(fmax(floor(at), 1), (double)count - 3);
    *t = fmin(fmax(at - cell, 0), 1);
    return (size_t)cell;
}

static bool make_room(sampler *opened)
{
    size_t room = opened->count;
    bool whole = true;
    for (int i = 0; i < 4; i++) {
        opened->weights[i] = array_new(room, sizeof(float));
        opened->wide[i] = array_new(room, sizeof(float));
        opened->wide_row[i] = (size_t)NO_ROW;
        whole = whole && opened->weights[i] && opened->wide[i];
    }
    opened->bounds_row = (size_t)NO_ROW;
    opened->cells = array_new(room, sizeof *opened->cells);
    opened->least = array_new(room, sizeof(float));
    opened->most = array_new(room, sizeof(float));
    return whole && opened->cells && opened->least && opened->most;
}

sf_status sampler_open(sampler *opened, const padded_field *from, double first_mm, double step_mm,
                       size_t count)
{
    *opened = (sampler){.from = from, .count = count};
    if (!make_room(opened)) {
        sampler_close(opened);
        return SF_ERROR_MEMORY;
    }
    for (size_t i = 0; i < count; i++) {
        double t, weights[4];
        opened->cells[i] = split(first_mm + (double)i * step_mm, from->cell_mm, from->columns, &t);
        kernel(t, weights);
        for (int k = 0; k < 4; k++)
            opened->weights[k][i] = (float)weights[k];
    }
    return SF_OK;
}

void sampler_close(sampler *closed)
{
    for (int i = 0; i < 4; i++) {
        free(closed->weights[i]);
        free(closed->wide[i]);
    }
    free(closed->cells);
    free(closed->least);
    free(closed->most);
    *closed = (sampler){0};
}

/* the row of cells sampled along x; four of them are kept, as many as the kernel spans */
static const float *wide_row(sampler *along, size_t row)
{
    size_t kept = row % 4;
    float *samples = along->wide[kept];
    if (along->wide_row[kept] == row)
        return samples;
    along->wide_row[kept] = row;
    const float *values = along->from->values + row * along->from->columns;
    for (size_t i = 0; i < along->count; i++) {
        const float *cell = values + along->cells[i] - 1;
        samples[i] = along->weights[0][i] * cell[0] + along->weights[1][i] * cell[1] +
                     along->weights[2][i] * cell[2] + along->weights[3][i] * cell[3];
    }
    return samples;
}

static void set_bounds(sampler *along, size_t row)
{
    if (along->bounds_row == row)
        return;
    along->bounds_row = row;
    const float *lower = along->from->values + row * along->from->columns;
    const float *upper = lower + along->from->columns;
    for (size_t i = 0; i < along->count; i++) {
        size_t cell = along->cells[i];
        float a = lower[cell], b = lower[cell + 1], c = upper[cell], d = upper[cell + 1];
        float ab_least = a < b ? a : b, ab_most = a < b ? b : a;
        float cd_least = c < d ? c : d, cd_most = c < d ? d : c;
        float least = ab_least < cd_least ? ab_least : cd_least;
        float most = ab_most > cd_most ? ab_most : cd_most;
        along->least[i] = least - widening * (most - least);
        along->most[i] = most + widening * (most - least);
    }
}

static void blend(const float *const rows[4], const float weights[4], const float *restrict least,
                  const float *restrict most, size_t count, float *restrict samples)
{
    const float *restrict a = rows[0], *restrict b = rows[1];
    const float *restrict c = rows[2], *restrict d = rows[3];
    float wa = weights[0], wb = weights[1], wc = weights[2], wd = weights[3];
    for (size_t i = 0; i < count; i++) {
        float value = wa * a[i] + wb * b[i] + wc * c[i] + wd * d[i];
        float low = least[i], high = most[i];
        value = value < low ? low : value;
        samples[i] = value > high ? high : value;
    }
}

void sampler_row(sampler *along, double y_mm, float *samples)
{
    double t, exact[4];
    size_t row = split(y_mm, along->from->cell_mm, along->from->rows, &t);
    kernel(t, exact);
    const float *rows[4];
    float weights[4];
    for (size_t k = 0; k < 4; k++) {
        rows[k] = wide_row(along, row - 1 + k);
        weights[k] = (float)exact[k];
    }
    set_bounds(along, row);
    blend(rows, weights, along->least, along->most, along->count, samples);
}
