/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The balance of the air: upstream neighbours carry heat in, mixing goes both ways. */
#include "benchmark/air.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

static const double cell_m = 4e-3;
static const double thick_m[AIR_LAYERS] = {8e-3, 25e-3, 15e-3};
static const double heat_capacity_jm3k = 1.16e3; /* of air at 30 C and 1 bar, handbooks */
static const double settled_k = 1e-5;
enum { SWEEPS = 4000, SIDES = 4 };

sf_status air_make(air *made, double width_mm, double height_mm, const air_flow *flow)
{
    *made = (air){.columns = (size_t)ceil(width_mm / 4), .rows = (size_t)ceil(height_mm / 4)};
    made->cells = made->columns * made->rows * AIR_LAYERS;
    made->flow = *flow;
    made->rise_k = array_new(made->cells, sizeof(double));
    made->warmer_wk = array_new(made->cells, sizeof(double));
    made->warmer_w = array_new(made->cells, sizeof(double));
    made->follows = array_new(made->cells, sizeof(double));
    return made->rise_k && made->warmer_wk && made->warmer_w && made->follows ? SF_OK
                                                                              : SF_ERROR_MEMORY;
}

void air_clear(air *cleared)
{
    free(cleared->rise_k);
    free(cleared->warmer_wk);
    free(cleared->warmer_w);
    free(cleared->follows);
    *cleared = (air){0};
}

static size_t within(double place_mm, size_t count)
{
    double cell = floor(place_mm / 4);
    return cell < 0 ? 0 : cell >= (double)count ? count - 1 : (size_t)cell;
}

size_t air_cell(const air *read, size_t layer, double x_mm, double y_mm)
{
    return (layer * read->rows + within(y_mm, read->rows)) * read->columns +
           within(x_mm, read->columns);
}

/* One wall of a cell: what flows in over it and out, W/K, and the cell beyond. */
typedef struct wall {
    double in_wk, out_wk;
    size_t beyond; /* or the count of cells: the air of the cabinet */
} wall;

static wall wall_at(const air *read, size_t cell, int side)
{
    static const int step_x[SIDES] = {-1, 1, 0, 0}, step_y[SIDES] = {0, 0, -1, 1};
    size_t column = cell % read->columns, row = cell / read->columns % read->rows;
    size_t layer = cell / read->columns / read->rows;
    double outward_ms = step_x[side] * read->flow.along_x_ms + step_y[side] * read->flow.along_y_ms;
    double wall_m2 = cell_m * thick_m[layer], mixed_wk = read->flow.sideways_wm2k * wall_m2;
    double carried_wk = heat_capacity_jm3k * wall_m2 * fabs(outward_ms);
    wall found = {.in_wk = mixed_wk + (outward_ms < 0 ? carried_wk : 0),
                  .out_wk = mixed_wk + (outward_ms > 0 ? carried_wk : 0),
                  .beyond = read->cells};
    bool edge = (step_x[side] < 0 && column == 0) || (step_y[side] < 0 && row == 0) ||
                (step_x[side] > 0 && column + 1 == read->columns) ||
                (step_y[side] > 0 && row + 1 == read->rows);
    if (!edge)
        found.beyond =
            (size_t)((ptrdiff_t)cell + step_x[side] + step_y[side] * (ptrdiff_t)read->columns);
    return found;
}

/* Mixing with the layer beside and with the cabinet; the layer beside, or `cells`. */
static size_t layer_beside(const air *read, size_t cell, double *beside_wk, double *away_wk)
{
    size_t sheet = read->columns * read->rows, layer = cell / sheet;
    *beside_wk = layer == AIR_BACK ? 0 : read->flow.near_far_wm2k * cell_m * cell_m;
    *away_wk = layer == AIR_NEAR ? 0 : read->flow.away_wm2k * cell_m * cell_m;
    return layer == AIR_NEAR ? cell + sheet : layer == AIR_FAR ? cell - sheet : read->cells;
}

static double cell_balance(air *read, size_t cell)
{
    double beside_wk, away_wk;
    size_t beside = layer_beside(read, cell, &beside_wk, &away_wk);
    double total_wk = read->warmer_wk[cell] + beside_wk + away_wk, total_w = read->warmer_w[cell];
    if (beside < read->cells)
        total_w += beside_wk * read->rise_k[beside];
    for (int side = 0; side < SIDES; side++) {
        wall met = wall_at(read, cell, side);
        total_wk += met.out_wk;
        if (met.beyond < read->cells)
            total_w += met.in_wk * read->rise_k[met.beyond];
    }
    read->follows[cell] = read->warmer_wk[cell] / total_wk;
    return total_w / total_wk;
}

sf_status air_solve(air *solved)
{
    double moved_k = (double)INFINITY;
    bool forwards = solved->flow.along_y_ms >= 0;
    for (int sweep = 0; moved_k > settled_k; sweep++, forwards = !forwards) {
        if (sweep == SWEEPS)
            return SF_ERROR_NUMERIC;
        moved_k = 0;
        for (size_t i = 0; i < solved->cells; i++) {
            size_t cell = forwards ? i : solved->cells - 1 - i;
            double now_k = cell_balance(solved, cell);
            moved_k = fmax(moved_k, fabs(now_k - solved->rise_k[cell]));
            solved->rise_k[cell] = now_k;
        }
    }
    return isfinite(moved_k) ? SF_OK : SF_ERROR_NUMERIC;
}

double air_carried_w(const air *read)
{
    double carried_w = 0;
    for (size_t cell = 0; cell < read->cells; cell++) {
        double beside_wk, away_wk;
        layer_beside(read, cell, &beside_wk, &away_wk);
        for (int side = 0; side < SIDES; side++) {
            wall met = wall_at(read, cell, side);
            away_wk += met.beyond == read->cells ? met.out_wk : 0;
        }
        carried_w += away_wk * read->rise_k[cell];
    }
    return carried_w;
}
