/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Filling the gaps of the cell values. Just outside the board the surface carries on straight, so
 * that lines do not bend where they leave it; further out it levels off. */
#include "output/draw/padded_field.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "core/memory.h"

enum { RIM = 2, STRAIGHT_RINGS = 2 };

/* larger ones are no temperatures; the surface is kept in floats */
static const double value_most = 1e6;

/* Cells to be filled, in rings outwards from those that hold a value. */
typedef struct front {
    size_t *cells;
    float *values; /* found for them; written once their whole ring is known */
    size_t count;
    unsigned char *seen;
} front;

static size_t index_of(const padded_field *in, size_t column, size_t row)
{
    return row * in->columns + column;
}

static size_t take_values(padded_field *made, const sf_grid *grid, const double *values)
{
    size_t taken = 0;
    for (size_t row = 0; row < grid->rows; row++)
        for (size_t column = 0; column < grid->columns; column++) {
            size_t cell = row * grid->columns + column;
            if (!grid->inside[cell] || !(fabs(values[cell]) <= value_most))
                continue;
            made->values[index_of(made, column + RIM, row + RIM)] = (float)values[cell];
            made->least = fmin(made->least, values[cell]);
            made->most = fmax(made->most, values[cell]);
            taken++;
        }
    return taken;
}

/* the cell `steps` away in one of eight directions; SIZE_MAX beyond the rim */
static size_t cell_towards(const padded_field *in, size_t cell, int direction, size_t steps)
{
    static const int across[8] = {1, 1, 0, -1, -1, -1, 0, 1}, up[8] = {0, 1, 1, 1, 0, -1, -1, -1};
    /* less than nothing wraps to a very large number */
    size_t column = cell % in->columns + (size_t)across[direction] * steps;
    size_t row = cell / in->columns + (size_t)up[direction] * steps;
    return column < in->columns && row < in->rows ? index_of(in, column, row) : SIZE_MAX;
}

static float value_towards(const padded_field *in, size_t cell, int direction, size_t steps)
{
    size_t found = cell_towards(in, cell, direction, steps);
    return found == SIZE_MAX ? NAN : in->values[found];
}

static void join_front(const padded_field *in, front *edge, size_t cell)
{
    for (int direction = 0; direction < 8; direction++) {
        size_t beside = cell_towards(in, cell, direction, 1);
        if (beside != SIZE_MAX && !edge->seen[beside] && isnan(in->values[beside])) {
            edge->seen[beside] = 1;
            edge->cells[edge->count++] = beside;
        }
    }
}

/* the mean of the straight lines through two cells beyond each other, held to what the board has;
 * where `straight` is not wanted or there are no two, the mean of the cells about */
static float carry_on(const padded_field *in, size_t cell, bool straight)
{
    double sums[2] = {0}, counts[2] = {0};
    for (int direction = 0; direction < 8; direction++) {
        double near = (double)value_towards(in, cell, direction, 1);
        double far = (double)value_towards(in, cell, direction, 2);
        if (isnan(near))
            continue;
        sums[0] += near;
        counts[0]++;
        if (straight && !isnan(far)) {
            sums[1] += 2 * near - far;
            counts[1]++;
        }
    }
    int chosen = counts[1] > 0;
    return (float)fmin(fmax(sums[chosen] / counts[chosen], in->least), in->most);
}

static void fill_rings(padded_field *in, front *edge)
{
    size_t ring = 1;
    for (size_t first = 0; first < edge->count; ring++) {
        size_t end = edge->count;
        for (size_t i = first; i < end; i++)
            edge->values[i] = carry_on(in, edge->cells[i], ring <= STRAIGHT_RINGS);
        for (size_t i = first; i < end; i++)
            in->values[edge->cells[i]] = edge->values[i];
        for (size_t i = first; i < end; i++)
            join_front(in, edge, edge->cells[i]);
        first = end;
    }
}

static bool fill_gaps(padded_field *in)
{
    size_t cells = in->columns * in->rows;
    front edge = {.cells = array_new(cells, sizeof *edge.cells),
                  .values = array_new(cells, sizeof *edge.values),
                  .seen = array_new(cells, 1)};
    bool ready = edge.cells && edge.values && edge.seen;
    for (size_t cell = 0; ready && cell < cells; cell++)
        if (!isnan(in->values[cell]))
            join_front(in, &edge, cell);
    if (ready)
        fill_rings(in, &edge);
    free(edge.cells);
    free(edge.values);
    free(edge.seen);
    return ready;
}

sf_status padded_field_make(const sf_grid *grid, const double *values, padded_field *made)
{
    *made = (padded_field){.cell_mm = grid->cell_mm,
                           .columns = grid->columns + 2 * RIM,
                           .rows = grid->rows + 2 * RIM,
                           .least = INFINITY,
                           .most = -INFINITY};
    size_t cells = made->columns * made->rows;
    made->values = array_new(cells, sizeof *made->values);
    if (!made->values)
        return SF_ERROR_MEMORY;
    for (size_t cell = 0; cell < cells; cell++)
        made->values[cell] = NAN;
    sf_status status = take_values(made, grid, values) > 0 ? SF_OK : SF_ERROR_NUMERIC;
    if (status == SF_OK && !fill_gaps(made))
        status = SF_ERROR_MEMORY;
    if (status != SF_OK)
        padded_field_free(made);
    return status;
}

void padded_field_free(padded_field *freed)
{
    free(freed->values);
    freed->values = NULL;
}

/* cells from the rim's first centre, held so that a whole cell lies on either side */
static double cells_from_rim(double at_mm, double cell_mm, size_t count)
{
    return fmin(fmax(at_mm / cell_mm - 0.5 + RIM, 1), (double)count - 2.001);
}

double padded_field_at(const padded_field *from, double x_mm, double y_mm)
{
    double x = cells_from_rim(x_mm, from->cell_mm, from->columns);
    double y = cells_from_rim(y_mm, from->cell_mm, from->rows);
    size_t column = (size_t)x, row = (size_t)y;
    const float *lower = from->values + index_of(from, column, row);
    const float *upper = lower + from->columns;
    double tx = x - (double)column, ty = y - (double)row;
    double below = (double)lower[0] * (1 - tx) + (double)lower[1] * tx;
    double above = (double)upper[0] * (1 - tx) + (double)upper[1] * tx;
    return below * (1 - ty) + above * ty;
}

/* --- samples along a row --- */

enum { NO_ROW = -1 };

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
