/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which cells a heat source heats, and how much each: every point of the footprint gives its heat
 * to the cells about it in the shares in which a reading there would ask them. So the heat keeps
 * its centre, however small the footprint is beside a cell. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "field/grid.h"

#define POINTS_LEAST 3      /* across the narrowest footprint */
#define CELL_POINTS 2       /* across a cell, along a wider one */
#define OFF_EDGE (1 - 1e-7) /* a point that would fall on an edge falls inwards, not by chance */

static size_t points_along(double side_mm, double cell_mm)
{
    return (size_t)fmax(ceil(CELL_POINTS * side_mm / cell_mm), POINTS_LEAST);
}

rectangle rectangle_of(double x_mm, double y_mm, double width_mm, double height_mm,
                       double angle_deg, double cell_mm)
{
    double angle = angle_deg * M_PI / 180;
    return (rectangle){x_mm,
                       y_mm,
                       width_mm / 2,
                       height_mm / 2,
                       cos(angle),
                       sin(angle),
                       points_along(width_mm, cell_mm),
                       points_along(height_mm, cell_mm)};
}

size_t rectangle_points(const rectangle *of)
{
    return of->across * of->up;
}

sf_point rectangle_point(const rectangle *of, size_t point)
{
    double u = ((double)(point % of->across) + 0.5) / (double)of->across * 2 - 1;
    double v = ((double)(point / of->across) + 0.5) / (double)of->up * 2 - 1;
    double u_mm = OFF_EDGE * u * of->half_width_mm, v_mm = OFF_EDGE * v * of->half_height_mm;
    return (sf_point){of->x_mm + u_mm * of->cosine - v_mm * of->sine,
                      of->y_mm + u_mm * of->sine + v_mm * of->cosine};
}

/* A span of cells along one axis that holds what a footprint reaches, one more at each end. */
typedef struct span {
    size_t from, count;
} span;

static span span_of(double middle_mm, double reach_mm, double cell_mm, size_t cells)
{
    double from = fmin(fmax(floor((middle_mm - reach_mm) / cell_mm) - 1, 0), (double)cells);
    double to = fmin(fmax(ceil((middle_mm + reach_mm) / cell_mm) + 1, from), (double)cells);
    return (span){(size_t)from, (size_t)(to - from)};
}

/* The same point's heat in the cells of the window; nothing where no board is. */
static void spread_point(const grid *laid, sf_point at, double share, span across, span up,
                         double *window)
{
    if (grid_node_under(laid, at.x_mm, at.y_mm) == NO_NODE)
        return;
    grid_sample sample = grid_sample_at(laid, at.x_mm, at.y_mm);
    for (size_t k = 0; k < sample.count; k++) {
        size_t cell = laid->cell_of_node[sample.nodes[k]];
        size_t row = cell / laid->columns - up.from, column = cell % laid->columns - across.from;
        window[row * across.count + column] += sample.weights[k] * share;
    }
}

sf_status grid_cover(const grid *laid, double x_mm, double y_mm, double width_mm, double height_mm,
                     double angle_deg, footprint *covered)
{
    double cell_mm = laid->cell_mm;
    rectangle shape = rectangle_of(x_mm, y_mm, width_mm, height_mm, angle_deg, cell_mm);
    double reach_x = width_mm / 2 * fabs(shape.cosine) + height_mm / 2 * fabs(shape.sine);
    double reach_y = width_mm / 2 * fabs(shape.sine) + height_mm / 2 * fabs(shape.cosine);
    span across = span_of(x_mm, reach_x, cell_mm, laid->columns);
    span up = span_of(y_mm, reach_y, cell_mm, laid->rows);
    size_t cells = across.count * up.count, points = rectangle_points(&shape);
    double *window = array_new(cells + 1, sizeof *window), shares = 0;
    *covered = (footprint){.shares = array_new(cells + 1, sizeof *covered->shares)};
    if (!window || !covered->shares) {
        free(window);
        return SF_ERROR_MEMORY;
    }
    for (size_t i = 0; i < points; i++)
        spread_point(laid, rectangle_point(&shape, i),
                     width_mm * height_mm / (cell_mm * cell_mm * (double)points), across, up,
                     window);
    for (size_t i = 0; i < cells; i++) {
        if (window[i] <= 0)
            continue;
        size_t cell = (up.from + i / across.count) * laid->columns + across.from + i % across.count;
        covered->shares[covered->count++] = (cell_share){laid->node_of_cell[cell], window[i]};
        shares += window[i];
    }
    free(window);
    if (covered->count == 0) {
        covered->shares[covered->count++] = (cell_share){grid_nearest_node(laid, x_mm, y_mm), 1};
        shares = 1;
    }
    covered->area_mm2 = shares * cell_mm * cell_mm;
    return SF_OK;
}
