/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The board as square cells: which of them are board, and which neighbours exchange heat. */
#ifndef SPOTFIELD_FIELD_GRID_H
#define SPOTFIELD_FIELD_GRID_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/geometry.h"
#include "spotfield/status.h"

#define NO_NODE (-1)

/* A neighbour pair that exchanges heat, by node number, first below second. */
typedef struct grid_link {
    int first, second;
} grid_link;

/* Cells in rows from below, nodes are the cells that are board, numbered in the same order. */
typedef struct grid {
    double cell_mm;
    size_t columns, rows;
    unsigned char *inside; /* per cell: 1 board, 0 not */
    int *node_of_cell;     /* per cell: node or NO_NODE */
    size_t *cell_of_node;  /* per node */
    size_t nodes;
    unsigned char *links_of_cell; /* per cell: bit 1 linked to the right, bit 2 linked upwards */
    grid_link *links;
    size_t link_count;
} grid;

/* A weighted sum over up to four nodes: what the field is at a place. */
typedef struct grid_sample {
    int nodes[4];
    double weights[4]; /* sum to 1 */
    size_t count;
    bool whole;        /* the four cells about the place are board and joined */
    size_t lower_left; /* the first of them, where whole */
} grid_sample;

/* What a footprint gives to a node: its heat is that of so much of the cell, under the footprint
 * whole. */
typedef struct cell_share {
    int node;
    double share; /* above 0; 1 well inside a footprint */
} cell_share;

/* The cells a footprint heats; area_mm2 is the sum of shares times the cell's area. */
typedef struct footprint {
    cell_share *shares;
    size_t count;
    double area_mm2;
} footprint;

/* Lays cells over a board of width_mm x height_mm with its rings. cell_mm 0 chooses 2.5 mm, finer
 * on small boards, coarser where more than cells_max would result; a whole number of columns
 * always spans the width. A link that crosses a ring is cut, so that a slot narrower than a cell
 * still insulates. SF_ERROR_DATA when no cell lies on the board; SF_ERROR_MEMORY.
 * On SF_OK *laid is new and freed with grid_free. */
sf_status grid_lay(const sf_ring *rings, size_t ring_count, double width_mm, double height_mm,
                   double cell_mm, size_t cells_max, grid **laid);
void grid_free(grid *laid);

double cell_x_mm(const grid *laid, size_t cell);
double cell_y_mm(const grid *laid, size_t cell);

/* From edge to edge of what is board; left below right and low below high. */
typedef struct grid_extent {
    double left_mm, low_mm, right_mm, high_mm;
} grid_extent;

grid_extent grid_measure(const grid *laid);

/* The field at a place: bilinear between the cells about it, but only those joined to the nearest
 * one by links, so that nothing is mixed across a slot. */
grid_sample grid_sample_at(const grid *laid, double x_mm, double y_mm);

/* The sum a sample makes of one value a node. */
double sample_value(const grid_sample *sample, const double *values);

/* The node nearest to a place. */
int grid_nearest_node(const grid *laid, double x_mm, double y_mm);

/* The node whose cell holds a place; NO_NODE where that is no board. */
int grid_node_under(const grid *laid, double x_mm, double y_mm);

/* A rectangle turned about its middle, and points that stand for equal shares of it. */
typedef struct rectangle {
    double x_mm, y_mm, half_width_mm, half_height_mm, cosine, sine;
    size_t across, up;
} rectangle;

rectangle rectangle_of(double x_mm, double y_mm, double width_mm, double height_mm,
                       double angle_deg, double cell_mm);
size_t rectangle_points(const rectangle *of);
sf_point rectangle_point(const rectangle *of, size_t point);

/* Shares of the cells about a rectangle turned by angle_deg about its centre: each point of it on
 * board is shared as grid_sample_at would, so that the centre stays. A rectangle that
 * covers no board counts as one whole cell, the nearest. Freed with free(covered->shares). */
sf_status grid_cover(const grid *laid, double x_mm, double y_mm, double width_mm, double height_mm,
                     double angle_deg, footprint *covered);

#endif
