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
