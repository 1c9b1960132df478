/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The air about a board as a network of its own: warmed by what it passes, carried along, mixed. */
#ifndef BENCHMARK_AIR_H
#define BENCHMARK_AIR_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/status.h"

enum { AIR_NEAR, AIR_FAR, AIR_BACK, AIR_LAYERS }; /* before the face up to 8 mm, above; behind */

/* What moves the air; a width or a metre is across the flow. */
typedef struct air_flow {
    double along_x_ms, along_y_ms; /* drift over the board */
    double near_far_wm2k;          /* mixing between the layers before the face */
    double away_wm2k;              /* of the outer layers with the air of the cabinet */
    double sideways_wm2k;          /* between neighbouring cells, over the wall they share */
} air_flow;

/* Cells of 4 mm in AIR_LAYERS layers; cell (layer, row, column) is
 * (layer * rows + row) * columns + column. */
typedef struct air {
    size_t columns, rows, cells; /* cells of all layers together */
    air_flow flow;
    double *rise_k;    /* over the air that flows in: the solution */
    double *warmer_wk; /* conductance of all surfaces in the cell */
    double *warmer_w;  /* the same times the rise of each surface */
    double *follows;   /* how far the cell's air follows its surfaces alone, 0 to 1 */
} air;

/* Cleared with air_clear whatever is returned. SF_ERROR_MEMORY. */
sf_status air_make(air *made, double width_mm, double height_mm, const air_flow *flow);
void air_clear(air *cleared);

/* The cell of a layer at a place; places off the board count as its edge. */
size_t air_cell(const air *read, size_t layer, double x_mm, double y_mm);

/* Solves the balance of every cell by sweeps along the drift, to 1e-4 K. SF_ERROR_NUMERIC. */
sf_status air_solve(air *solved);

/* Heat that leaves with the air: downstream, sideways and into the cabinet, W. */
double air_carried_w(const air *read);

#endif
