/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Uneven conductance on a lattice of knots, by first-order perturbation of the balance. */
#include "field/copper.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/wide.h"

#define SPACING_MM 20.0 /* pours and bundles of tracks are some centimetres wide */
#define WIDER 1.05

/* The lattice spans what is board from edge to edge: `spans` of equal width along each side. */
typedef struct lattice_sides {
    double left_mm, low_mm, across_mm, up_mm;
    size_t spans_across, spans_up;
} lattice_sides;

static lattice_sides span(const grid *laid)
{
    grid_extent board = grid_measure(laid);
    double width_mm = board.right_mm - board.left_mm, height_mm = board.high_mm - board.low_mm;
    lattice_sides sides = {.left_mm = board.left_mm, .low_mm = board.low_mm};
    for (double spacing_mm = SPACING_MM;; spacing_mm *= WIDER) {
        sides.spans_across = (size_t)ceil(width_mm / spacing_mm);
        sides.spans_up = (size_t)ceil(height_mm / spacing_mm);
        if ((sides.spans_across + 1) * (sides.spans_up + 1) <= COPPER_KNOTS_MOST)
            break;
    }
    sides.across_mm = width_mm / (double)sides.spans_across;
    sides.up_mm = height_mm / (double)sides.spans_up;
    return sides;
}

/* The span a coordinate lies in, and how far along it, 0 to 1. */
static size_t span_of(double at_mm, double span_mm, size_t spans, double *along)
{
    double span = fmin(floor(at_mm / span_mm), (double)(spans - 1));
    *along = at_mm / span_mm - span;
    return (size_t)span;
}

static void place_link(copper_lattice *into, const lattice_sides *sides, size_t link)
{
    const grid *laid = into->laid;
    size_t one = laid->cell_of_node[laid->links[link].first];
    size_t other = laid->cell_of_node[laid->links[link].second];
    double right, above;
    double x_mm = (cell_x_mm(laid, one) + cell_x_mm(laid, other)) / 2;
    double y_mm = (cell_y_mm(laid, one) + cell_y_mm(laid, other)) / 2;
    size_t column = span_of(x_mm - sides->left_mm, sides->across_mm, sides->spans_across, &right);
    size_t row = span_of(y_mm - sides->low_mm, sides->up_mm, sides->spans_up, &above);
    double *weights = into->weights + 4 * link, squares = 0;
    for (int k = 0; k < 4; k++) {
        weights[k] = (k % 2 ? right : 1 - right) * (k / 2 ? above : 1 - above);
        squares += weights[k] * weights[k];
    }
    for (int k = 0; k < 4; k++)
        weights[k] /= sqrt(squares);
    into->knot_of_link[link] = row * into->columns + column;
}

sf_status copper_lattice_lay(const grid *laid, copper_lattice *made)
{
    lattice_sides sides = span(laid);
    *made = (copper_lattice){.laid = laid,
                             .columns = sides.spans_across + 1,
                             .knots = (sides.spans_across + 1) * (sides.spans_up + 1)};
    made->knot_of_link = array_new(laid->link_count, sizeof *made->knot_of_link);
    made->weights = array_new(4 * laid->link_count, sizeof(double));
    made->drop_k = array_new(laid->link_count, sizeof(double));
    if (!made->knot_of_link || !made->weights || !made->drop_k)
        return SF_ERROR_MEMORY;
    for (size_t link = 0; link < laid->link_count; link++)
        place_link(made, &sides, link);
    return SF_OK;
}

void copper_lattice_clear(copper_lattice *made)
{
    free(made->knot_of_link);
    free(made->weights);
    free(made->drop_k);
    *made = (copper_lattice){0};
}

void copper_take_field(copper_lattice *of, const double *rise_k)
{
    for (size_t link = 0; link < of->laid->link_count; link++) {
        const grid_link *pair = &of->laid->links[link];
        of->drop_k[link] = rise_k[pair->second] - rise_k[pair->first];
    }
}

/* Conductance of a link over the loss of a cell. */
static double link_conductance(const copper_lattice *of, double length_mm)
{
    return length_mm * length_mm / (of->laid->cell_mm * of->laid->cell_mm);
}

enum { ROWS_AT_ONCE = 4, CORNERS = 4 };

static inline void add_corners(const copper_lattice *of, const four *at, double *change_k)
{
    change_k[0] += (*at)[0];
    change_k[1] += (*at)[1];
    change_k[of->columns] += (*at)[2];
    change_k[of->columns + 1] += (*at)[3];
}

/* Of so many adjoints, since what a link is weighs more in the memory than what they are there.
 * Links of one span follow one another: what its corners change by is summed up before it is added
 * to the knots. */
WIDE static void change_at_knots(const copper_lattice *of, double conductance,
                                 const double *const adjoints[ROWS_AT_ONCE],
                                 double *const change_k[ROWS_AT_ONCE])
{
    size_t link = 0, count = of->laid->link_count;
    while (link < count) {
        size_t knot = of->knot_of_link[link];
        four sums[ROWS_AT_ONCE] = {{0}};
        for (; link < count && of->knot_of_link[link] == knot; link++) {
            const grid_link pair = of->laid->links[link];
            double drop_k = conductance * of->drop_k[link];
            four weights;
            four_take(&weights, of->weights + CORNERS * link);
            for (int row = 0; row < ROWS_AT_ONCE; row++)
                sums[row] +=
                    weights * (drop_k * (adjoints[row][pair.first] - adjoints[row][pair.second]));
        }
        for (int row = 0; row < ROWS_AT_ONCE; row++)
            add_corners(of, &sums[row], change_k[row] + knot);
    }
}

/* As before a field is known. */
static bool all_even(const copper_lattice *of)
{
    for (size_t link = 0; link < of->laid->link_count; link++)
        if (of->drop_k[link] != 0)
            return false;
    return true;
}

void copper_at_knots(const copper_lattice *of, double length_mm, const double *adjoint, size_t rows,
                     double *change_k)
{
    double unused_k[COPPER_KNOTS_MOST] = {0};
    memset(change_k, 0, rows * of->knots * sizeof *change_k);
    if (all_even(of))
        return;
    for (size_t first = 0; first < rows; first += ROWS_AT_ONCE) {
        const double *adjoints[ROWS_AT_ONCE];
        double *changes[ROWS_AT_ONCE];
        for (size_t k = 0; k < ROWS_AT_ONCE; k++) {
            bool there = first + k < rows;
            adjoints[k] = adjoint + (there ? first + k : first) * of->laid->nodes;
            changes[k] = there ? change_k + (first + k) * of->knots : unused_k;
        }
        change_at_knots(of, link_conductance(of, length_mm), adjoints, changes);
    }
}

void copper_add_heat(const copper_lattice *of, double length_mm, const double *shares,
                     double factor, double *heat)
{
    double conductance = factor * link_conductance(of, length_mm);
    for (size_t link = 0; link < of->laid->link_count; link++) {
        const grid_link *pair = &of->laid->links[link];
        const double *share = shares + of->knot_of_link[link];
        const double *weights = of->weights + 4 * link;
        double moved = conductance * of->drop_k[link] *
                       (weights[0] * share[0] + weights[1] * share[1] +
                        weights[2] * share[of->columns] + weights[3] * share[of->columns + 1]);
        heat[pair->first] += moved;
        heat[pair->second] -= moved;
    }
}

sf_status copper_fields(const copper_lattice *of, balance *matrix, double length_mm, double *fields)
{
    size_t nodes = of->laid->nodes;
    double unit[COPPER_KNOTS_MOST] = {0};
    memset(fields, 0, of->knots * nodes * sizeof *fields);
    for (size_t knot = 0; knot < of->knots; knot++) {
        unit[knot] = 1;
        copper_add_heat(of, length_mm, unit, 1, fields + knot * nodes);
        unit[knot] = 0;
    }
    return balance_solve(matrix, fields, fields, of->knots);
}
