/* Filling the gaps of the cell values. Outside the board the surface carries on level from the
 * nearest cells, as heat does that finds no way out of an edge. */
#include "draw/surface.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

enum { RIM = 2 };

/* Cells to be filled, in rings outwards from those that hold a value. */
typedef struct front {
    size_t *cells;
    float *values; /* found for them; written once their whole ring is known */
    size_t count;
    unsigned char *seen;
} front;

static size_t index_of(const surface *in, size_t column, size_t row)
{
    return row * in->columns + column;
}

static size_t take_values(surface *made, const sf_grid *grid, const double *values)
{
    size_t taken = 0;
    for (size_t row = 0; row < grid->rows; row++)
        for (size_t column = 0; column < grid->columns; column++) {
            size_t cell = row * grid->columns + column;
            if (!grid->inside[cell] || !isfinite(values[cell]))
                continue;
            made->values[index_of(made, column + RIM, row + RIM)] = (float)values[cell];
            made->least = fmin(made->least, values[cell]);
            made->most = fmax(made->most, values[cell]);
            taken++;
        }
    return taken;
}

/* lists the up to eight cells about one */
static size_t neighbours_of(const surface *in, size_t cell, size_t around[8])
{
    size_t column = cell % in->columns, row = cell / in->columns, count = 0;
    for (int dy = -1; dy <= 1; dy++)
        for (int dx = -1; dx <= 1; dx++) {
            size_t x = column + (size_t)dx, y = row + (size_t)dy;
            /* one less than nothing is a very large number */
            if ((dx != 0 || dy != 0) && x < in->columns && y < in->rows)
                around[count++] = index_of(in, x, y);
        }
    return count;
}

static void join_front(const surface *in, front *edge, size_t cell)
{
    size_t around[8], count = neighbours_of(in, cell, around);
    for (size_t i = 0; i < count; i++)
        if (!edge->seen[around[i]] && isnan(in->values[around[i]])) {
            edge->seen[around[i]] = 1;
            edge->cells[edge->count++] = around[i];
        }
}

static float mean_around(const surface *in, size_t cell)
{
    size_t around[8], count = neighbours_of(in, cell, around), known = 0;
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        if (!isnan(in->values[around[i]])) {
            sum += (double)in->values[around[i]];
            known++;
        }
    return (float)(sum / (double)known);
}

static void fill_rings(surface *in, front *edge)
{
    for (size_t first = 0; first < edge->count;) {
        size_t end = edge->count;
        for (size_t i = first; i < end; i++)
            edge->values[i] = mean_around(in, edge->cells[i]);
        for (size_t i = first; i < end; i++)
            in->values[edge->cells[i]] = edge->values[i];
        for (size_t i = first; i < end; i++)
            join_front(in, edge, edge->cells[i]);
        first = end;
    }
}

static bool fill_gaps(surface *in)
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

sf_status surface_make(const sf_grid *grid, const double *values, surface *made)
{
    *made = (surface){.cell_mm = grid->cell_mm,
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
        surface_free(made);
    return status;
}

void surface_free(surface *freed)
{
    free(freed->values);
    freed->values = NULL;
}

/* cells from the rim's first centre, held so that a whole cell lies on either side */
static double cells_from_rim(double at_mm, double cell_mm, size_t count)
{
    return fmin(fmax(at_mm / cell_mm - 0.5 + RIM, 1), (double)count - 2.001);
}

double surface_at(const surface *from, double x_mm, double y_mm)
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
