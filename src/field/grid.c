/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From an outline with cut-outs to the cells and links of the heat balance. */
#include "field/grid.h"

#include <math.h>
#include <stdlib.h>

#include "core/geometry.h"
#include "core/memory.h"

#define CELL_MM 2.5         /* fine beside a spreading length of 10 mm and more */
#define CELLS_ACROSS_MIN 16 /* on the short side of a small board */
#define LINK_RIGHT 1
#define LINK_UP 2

double cell_x_mm(const grid *laid, size_t cell)
{
    return ((double)(cell % laid->columns) + 0.5) * laid->cell_mm;
}

double cell_y_mm(const grid *laid, size_t cell)
{
    return ((double)(cell / laid->columns) + 0.5) * laid->cell_mm;
}

grid_extent grid_measure(const grid *laid)
{
    grid_extent found = {INFINITY, INFINITY, 0, 0};
    double half_mm = laid->cell_mm / 2;
    for (size_t node = 0; node < laid->nodes; node++) {
        double x_mm = cell_x_mm(laid, laid->cell_of_node[node]);
        double y_mm = cell_y_mm(laid, laid->cell_of_node[node]);
        found.left_mm = fmin(found.left_mm, x_mm - half_mm);
        found.low_mm = fmin(found.low_mm, y_mm - half_mm);
        found.right_mm = fmax(found.right_mm, x_mm + half_mm);
        found.high_mm = fmax(found.high_mm, y_mm + half_mm);
    }
    return found;
}

static double choose_cell(double width_mm, double height_mm, double cell_mm, size_t cells_max)
{
    double wanted =
        cell_mm > 0 ? cell_mm : fmin(CELL_MM, fmin(width_mm, height_mm) / CELLS_ACROSS_MIN);
    double finest = sqrt(width_mm * height_mm / (double)cells_max);
    wanted = fmax(wanted, finest);
    return width_mm / fmax(1, round(width_mm / wanted));
}

static bool allocate_cells(grid *laid)
{
    size_t cells = laid->columns * laid->rows;
    laid->inside = array_new(cells, sizeof *laid->inside);
    laid->node_of_cell = array_new(cells, sizeof *laid->node_of_cell);
    laid->cell_of_node = array_new(cells, sizeof *laid->cell_of_node);
    laid->links_of_cell = array_new(cells, sizeof *laid->links_of_cell);
    laid->links = array_new(2 * cells, sizeof *laid->links);
    return laid->inside && laid->node_of_cell && laid->cell_of_node && laid->links_of_cell &&
           laid->links;
}

static void number_nodes(grid *laid, const sf_ring *rings, size_t ring_count)
{
    for (size_t cell = 0; cell < laid->columns * laid->rows; cell++) {
        bool board =
            board_contains(rings, ring_count, cell_x_mm(laid, cell), cell_y_mm(laid, cell));
        laid->inside[cell] = board;
        laid->node_of_cell[cell] = board ? (int)laid->nodes : NO_NODE;
        if (board)
            laid->cell_of_node[laid->nodes++] = cell;
    }
}

static void link_all(grid *laid)
{
    size_t cell = 0;
    for (size_t row = 0; row < laid->rows; row++)
        for (size_t column = 0; column < laid->columns; column++, cell++) {
            if (!laid->inside[cell])
                continue;
            if (column + 1 < laid->columns && laid->inside[cell + 1])
                laid->links_of_cell[cell] |= LINK_RIGHT;
            if (row + 1 < laid->rows && laid->inside[cell + laid->columns])
                laid->links_of_cell[cell] |= LINK_UP;
        }
}

/* Cuts the links of one cell that a ring's side a-b crosses. */
static void cut_cell(grid *laid, size_t cell, sf_point a, sf_point b)
{
    sf_point here = {cell_x_mm(laid, cell), cell_y_mm(laid, cell)};
    sf_point right = {here.x_mm + laid->cell_mm, here.y_mm};
    sf_point up = {here.x_mm, here.y_mm + laid->cell_mm};
    if ((laid->links_of_cell[cell] & LINK_RIGHT) && segments_meet(here, right, a, b))
        laid->links_of_cell[cell] &= (unsigned char)~LINK_RIGHT;
    if ((laid->links_of_cell[cell] & LINK_UP) && segments_meet(here, up, a, b))
        laid->links_of_cell[cell] &= (unsigned char)~LINK_UP;
}

/* From the first of `count` to the last. Compared, since fmin and fmax are calls. */
static double bound(double index, size_t count)
{
    double last = (double)(count - 1);
    return index > 0 ? index < last ? index : last : 0;
}

static size_t bound_index(double index, size_t count)
{
    return (size_t)bound(index, count);
}

/* Cuts what a ring's side crosses, looking only at the cells about it. */
static void cut_side(grid *laid, sf_point a, sf_point b)
{
    double cell = laid->cell_mm;
    size_t left = bound_index(floor(fmin(a.x_mm, b.x_mm) / cell) - 2, laid->columns);
    size_t right = bound_index(floor(fmax(a.x_mm, b.x_mm) / cell) + 1, laid->columns);
    size_t low = bound_index(floor(fmin(a.y_mm, b.y_mm) / cell) - 2, laid->rows);
    size_t high = bound_index(floor(fmax(a.y_mm, b.y_mm) / cell) + 1, laid->rows);
    for (size_t row = low; row <= high; row++)
        for (size_t column = left; column <= right; column++)
            cut_cell(laid, row * laid->columns + column, a, b);
}

static void list_links(grid *laid)
{
    for (size_t cell = 0; cell < laid->columns * laid->rows; cell++) {
        int node = laid->node_of_cell[cell];
        if (laid->links_of_cell[cell] & LINK_RIGHT)
            laid->links[laid->link_count++] = (grid_link){node, laid->node_of_cell[cell + 1]};
        if (laid->links_of_cell[cell] & LINK_UP)
            laid->links[laid->link_count++] =
                (grid_link){node, laid->node_of_cell[cell + laid->columns]};
    }
}

sf_status grid_lay(const sf_ring *rings, size_t ring_count, double width_mm, double height_mm,
                   double cell_mm, size_t cells_max, grid **laid)
{
    *laid = NULL;
    grid *made = array_new(1, sizeof *made);
    if (!made)
        return SF_ERROR_MEMORY;
    made->cell_mm = choose_cell(width_mm, height_mm, cell_mm, cells_max);
    made->columns = (size_t)fmax(1, round(width_mm / made->cell_mm));
    made->rows = (size_t)fmax(1, ceil(height_mm / made->cell_mm - 0.25));
    if (!allocate_cells(made)) {
        grid_free(made);
        return SF_ERROR_MEMORY;
    }
    number_nodes(made, rings, ring_count);
    if (made->nodes == 0) {
        grid_free(made);
        return SF_ERROR_DATA;
    }
    link_all(made);
    for (size_t r = 0; r < ring_count; r++)
        for (size_t i = 0, before = rings[r].count - 1; i < rings[r].count; before = i++)
            cut_side(made, rings[r].points[before], rings[r].points[i]);
    list_links(made);
    *laid = made;
    return SF_OK;
}

void grid_free(grid *laid)
{
    if (!laid)
        return;
    free(laid->inside);
    free(laid->node_of_cell);
    free(laid->cell_of_node);
    free(laid->links_of_cell);
    free(laid->links);
    free(laid);
}

int grid_node_under(const grid *laid, double x_mm, double y_mm)
{
    double column = floor(x_mm / laid->cell_mm), row = floor(y_mm / laid->cell_mm);
    if (!(column >= 0 && column < (double)laid->columns && row >= 0 && row < (double)laid->rows))
        return NO_NODE;
    return laid->node_of_cell[(size_t)row * laid->columns + (size_t)column];
}

int grid_nearest_node(const grid *laid, double x_mm, double y_mm)
{
    size_t column = bound_index(floor(x_mm / laid->cell_mm), laid->columns);
    size_t row = bound_index(floor(y_mm / laid->cell_mm), laid->rows);
    int own = laid->node_of_cell[row * laid->columns + column];
    if (own != NO_NODE)
        return own;
    double nearest = INFINITY;
    for (size_t node = 0; node < laid->nodes; node++) {
        size_t cell = laid->cell_of_node[node];
        double distance = hypot(cell_x_mm(laid, cell) - x_mm, cell_y_mm(laid, cell) - y_mm);
        if (distance < nearest) {
            nearest = distance;
            own = (int)node;
        }
    }
    return own;
}

/* Which of the 2 x 2 cells about a place (bits 1 lower left, 2 lower right, 4 upper left, 8 upper
 * right) are joined by links to the node in one of them; none where it is in none. */
static unsigned joined_cells(const grid *laid, const size_t cells[4], int node)
{
    const unsigned char *links = laid->links_of_cell;
    const struct {
        unsigned pair;
        bool linked;
    } sides[4] = {{1 | 2, links[cells[0]] & LINK_RIGHT},
                  {4 | 8, links[cells[2]] & LINK_RIGHT},
                  {1 | 4, links[cells[0]] & LINK_UP},
                  {2 | 8, links[cells[1]] & LINK_UP}};
    unsigned reached = 0;
    for (unsigned corner = 0; corner < 4; corner++)
        if (laid->node_of_cell[cells[corner]] == node)
            reached = 1u << corner;
    for (int pass = 0; pass < 3; pass++)
        for (int side = 0; side < 4; side++)
            if (sides[side].linked && (reached & sides[side].pair))
                reached |= sides[side].pair;
    return reached;
}

static bool all_linked(const grid *laid, const size_t cells[4])
{
    const unsigned char *links = laid->links_of_cell;
    return links[cells[0]] & links[cells[2]] & LINK_RIGHT &&
           links[cells[0]] & links[cells[1]] & LINK_UP;
}

static grid_sample one_node(int node)
{
    return (grid_sample){.nodes = {node}, .weights = {1}, .count = 1};
}

grid_sample grid_sample_at(const grid *laid, double x_mm, double y_mm)
{
    if (laid->columns < 2 || laid->rows < 2)
        return one_node(grid_nearest_node(laid, x_mm, y_mm));
    double across = bound(x_mm / laid->cell_mm - 0.5, laid->columns);
    double upward = bound(y_mm / laid->cell_mm - 0.5, laid->rows);
    size_t column = bound_index(floor(across), laid->columns - 1);
    size_t row = bound_index(floor(upward), laid->rows - 1);
    size_t lower_left = row * laid->columns + column;
    const size_t cells[4] = {lower_left, lower_left + 1, lower_left + laid->columns,
                             lower_left + laid->columns + 1};
    double right = across - (double)column, top = upward - (double)row;
    const double weights[4] = {(1 - right) * (1 - top), right * (1 - top), (1 - right) * top,
                               right * top};
    int nearest = NO_NODE;
    unsigned joined = 15; /* most places */
    if (!all_linked(laid, cells)) {
        nearest = grid_nearest_node(laid, x_mm, y_mm);
        joined = joined_cells(laid, cells, nearest);
    }
    grid_sample sample = {.whole = joined == 15, .lower_left = lower_left};
    double total = 0;
    for (unsigned corner = 0; corner < 4; corner++)
        if ((joined & (1u << corner)) && weights[corner] > 0) {
            sample.nodes[sample.count] = laid->node_of_cell[cells[corner]];
            sample.weights[sample.count++] = weights[corner];
            total += weights[corner];
        }
    if (total <= 0)
        return one_node(nearest);
    for (size_t i = 0; i < sample.count && !sample.whole; i++)
        sample.weights[i] /= total;
    return sample;
}

double sample_value(const grid_sample *sample, const double *values)
{
    double sum = 0;
    for (size_t i = 0; i < sample->count; i++)
        sum += sample->weights[i] * values[sample->nodes[i]];
    return sum;
}
