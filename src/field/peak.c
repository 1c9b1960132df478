/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Continuous and discrete potentials of a small source. */
#include "field/peak.h"

#include <math.h>
#include <stdlib.h>

#include "core/geometry.h"
#include "core/memory.h"

#define REACH_CELLS 3 /* beyond the footprint; the cells are true to 0.1 % of a peak there */
#define EXACT_CELLS 8 /* up to which the potential of the cells is taken by its recursion */
#define CELL_POINTS 4 /* each way, for the mean over a cell */
#define EULER 0.57721566490153286061

/* Integral of ln(x^2 + y^2) over a rectangle from the origin to (x, y). */
static double log_integral(double x, double y)
{
    if (x == 0 || y == 0)
        return 0;
    double square = x * x + y * y, angle = atan(y / x), other = copysign(M_PI_2, angle) - angle;
    return x * y * (log(square) - 3) + x * x * angle + y * y * other;
}

/* Mean over the rectangle of ln(distance in mm). */
static double mean_log(const rectangle *shape, double x_mm, double y_mm)
{
    double dx = x_mm - shape->x_mm, dy = y_mm - shape->y_mm;
    double x = dx * shape->cosine + dy * shape->sine, y = dy * shape->cosine - dx * shape->sine;
    double right = x + shape->half_width_mm, left = x - shape->half_width_mm;
    double top = y + shape->half_height_mm, low = y - shape->half_height_mm;
    double sum = log_integral(right, top) - log_integral(left, top) - log_integral(right, low) +
                 log_integral(left, low);
    return sum / 2 / (4 * shape->half_width_mm * shape->half_height_mm);
}

/* The field of heat 1 on one cell of an endless plane of them without loss, taken off that cell's
 * own: potential kernel of the square lattice (W. H. McCrea and F. J. W. Whipple, Proc. R. Soc.
 * Edinburgh 60 (1940) 281; F. Spitzer, Principles of Random Walk, 2nd ed. (1976) section 15, whose
 * kernel is four times this one). */
typedef struct lattice {
    double drop[EXACT_CELLS + 2][EXACT_CELLS + 2];
} lattice;

/* On the diagonal the sum of 1/(2k - 1) over pi; off it each cell's balance gives the next. */
static void lattice_set(lattice *made)
{
    double(*drop)[EXACT_CELLS + 2] = made->drop;
    drop[0][0] = 0;
    drop[0][1] = drop[1][0] = 0.25;
    for (int n = 1; n <= EXACT_CELLS; n++)
        drop[n][n] = drop[n - 1][n - 1] + 1 / (M_PI * (2 * n - 1));
    for (int m = 1; m < EXACT_CELLS; m++) {
        drop[m + 1][m] = drop[m][m + 1] = 2 * drop[m][m] - drop[m][m - 1];
        for (int n = m - 1; n >= 0; n--)
            drop[m + 1][n] = drop[n][m + 1] =
                4 * drop[m][n] - drop[m - 1][n] - drop[m][n + 1] - drop[m][n > 0 ? n - 1 : 1];
    }
}

/* (ln r + gamma + 3/2 ln 2) / 2 pi is what it comes to, r in cells. */
static double far_drop(double log_cells)
{
    return (log_cells + EULER + 1.5 * M_LN2) / (2 * M_PI);
}

static double lattice_drop(const lattice *of, size_t across, size_t up)
{
    if (across <= EXACT_CELLS && up <= EXACT_CELLS)
        return of->drop[across][up];
    double x = (double)across, y = (double)up, square = x * x + y * y;
    return far_drop(log(square) / 2) +
           (8 * x * x * y * y / (square * square) - 1) / (24 * M_PI * square);
}

/* Whether an edge of the board lies within the reach. */
static bool edge_is_near(const source_peak *of, const sf_ring *rings, size_t ring_count)
{
    sf_point middle = {of->shape.x_mm, of->shape.y_mm};
    for (size_t r = 0; r < ring_count; r++)
        for (size_t i = 0, before = rings[r].count - 1; i < rings[r].count; before = i++)
            if (segment_distance(middle, rings[r].points[before], rings[r].points[i]) <
                of->reach_mm)
                return true;
    return false;
}

static bool edge_between(sf_point from, sf_point to, const sf_ring *rings, size_t ring_count)
{
    for (size_t r = 0; r < ring_count; r++)
        for (size_t i = 0, before = rings[r].count - 1; i < rings[r].count; before = i++)
            if (segments_meet(from, to, rings[r].points[before], rings[r].points[i]))
                return true;
    return false;
}

/* The i-th of the cells about it. */
static size_t cell_of(const source_peak *of, const grid *laid, size_t i)
{
    return (of->low + i / of->columns) * laid->columns + of->left + i % of->columns;
}

static void open_cells(source_peak *of, const grid *laid, const sf_ring *rings, size_t ring_count)
{
    bool near = edge_is_near(of, rings, ring_count);
    sf_point middle = {of->shape.x_mm, of->shape.y_mm};
    for (size_t i = 0; i < of->columns * of->rows; i++) {
        size_t cell = cell_of(of, laid, i);
        sf_point here = {cell_x_mm(laid, cell), cell_y_mm(laid, cell)};
        of->open[i] =
            laid->inside[cell] && !(near && edge_between(middle, here, rings, ring_count));
    }
}

/* Whether all of a footprint is board. */
static bool lies_whole(const source_peak *of, const grid *laid, const sf_ring *rings,
                       size_t ring_count)
{
    for (size_t i = 0; i < rectangle_points(&of->shape); i++) {
        sf_point at = rectangle_point(&of->shape, i);
        if (grid_node_under(laid, at.x_mm, at.y_mm) == NO_NODE ||
            !board_contains(rings, ring_count, at.x_mm, at.y_mm))
            return false;
    }
    return true;
}

static size_t bounded(double index, size_t count)
{
    return (size_t)fmin(fmax(index, 0), (double)count);
}

static bool is_open(const source_peak *of, const grid *laid, double x_mm, double y_mm)
{
    double across = floor(x_mm / laid->cell_mm) - (double)of->left;
    double up = floor(y_mm / laid->cell_mm) - (double)of->low;
    return across >= 0 && up >= 0 && across < (double)of->columns && up < (double)of->rows &&
           of->open[(size_t)up * of->columns + (size_t)across];
}

/* Square of the distance from the middle, in the reach. */
static double reach_share(const source_peak *of, double x_mm, double y_mm)
{
    double dx = x_mm - of->shape.x_mm, dy = y_mm - of->shape.y_mm;
    return (dx * dx + dy * dy) / (of->reach_mm * of->reach_mm);
}

/* From 1 in the middle to 0 at the reach, late: a long footprint's peak has no step there. */
static double fade(double share)
{
    return 1 - share * share * share * share;
}

double peak_at(const source_peak *of, const grid *laid, double x_mm, double y_mm)
{
    double share = reach_share(of, x_mm, y_mm);
    if (!(share < 1) || !is_open(of, laid, x_mm, y_mm))
        return 0;
    double over = log(of->reach_mm) - mean_log(&of->shape, x_mm, y_mm) - (1 - share) / 2;
    return fade(share) * over / (2 * M_PI);
}

static double over_mean_of(const source_peak *of, const grid *laid, size_t i)
{
    size_t cell = cell_of(of, laid, i);
    double x_mm = cell_x_mm(laid, cell), y_mm = cell_y_mm(laid, cell), sum = 0;
    for (int k = 0; k < CELL_POINTS * CELL_POINTS; k++)
        sum +=
            peak_at(of, laid, x_mm + ((k % CELL_POINTS + 0.5) / CELL_POINTS - 0.5) * laid->cell_mm,
                    y_mm + ((k / CELL_POINTS + 0.5) / CELL_POINTS - 0.5) * laid->cell_mm);
    return of->at[i] - sum / (CELL_POINTS * CELL_POINTS);
}

static size_t apart(size_t a, size_t b)
{
    return a > b ? a - b : b - a;
}

/* What the cells make of heat on `cover` is less than what the rectangle itself makes. */
static double lacking_of(const source_peak *of, const grid *laid, const footprint *cover,
                         const lattice *plane, size_t i)
{
    size_t cell = cell_of(of, laid, i);
    double x_mm = cell_x_mm(laid, cell), y_mm = cell_y_mm(laid, cell), drop = 0;
    double shares = cover->area_mm2 / (laid->cell_mm * laid->cell_mm);
    if (!of->open[i] || !(reach_share(of, x_mm, y_mm) < 1))
        return 0;
    for (size_t s = 0; s < cover->count; s++) {
        size_t heated = laid->cell_of_node[cover->shares[s].node];
        drop += cover->shares[s].share / shares *
                lattice_drop(plane, apart(cell % laid->columns, heated % laid->columns),
                             apart(cell / laid->columns, heated / laid->columns));
    }
    return drop - far_drop(mean_log(&of->shape, x_mm, y_mm) - log(laid->cell_mm));
}

static double own_of(const source_peak *of, const grid *laid)
{
    double sum = 0;
    size_t points = rectangle_points(&of->shape);
    for (size_t i = 0; i < points; i++) {
        sf_point at = rectangle_point(&of->shape, i);
        grid_sample sample = grid_sample_at(laid, at.x_mm, at.y_mm);
        sum += peak_between(of, laid, &sample, at);
    }
    return sum / (double)points;
}

/* One value each of the cells about it. */
static sf_status tabulate(source_peak *made, const grid *laid, const footprint *cover)
{
    size_t cells = made->columns * made->rows;
    lattice plane;
    made->at = array_new(cells, sizeof *made->at);
    made->over_mean = array_new(cover ? cells : 0, sizeof *made->over_mean);
    made->lacking = array_new(cover ? cells : 0, sizeof *made->lacking);
    if (!made->at || !made->over_mean || !made->lacking)
        return SF_ERROR_MEMORY;
    lattice_set(&plane);
    for (size_t i = 0; i < cells; i++) {
        size_t cell = cell_of(made, laid, i);
        made->at[i] = peak_at(made, laid, cell_x_mm(laid, cell), cell_y_mm(laid, cell));
        if (!cover)
            continue;
        made->over_mean[i] = over_mean_of(made, laid, i);
        made->lacking[i] = lacking_of(made, laid, cover, &plane, i);
    }
    return SF_OK;
}

sf_status peak_make(const grid *laid, const sf_ring *rings, size_t ring_count,
                    const sf_source *source, const footprint *cover, source_peak *made)
{
    double cell = laid->cell_mm;
    *made = (source_peak){.shape = rectangle_of(source->x_mm, source->y_mm, source->width_mm,
                                                source->height_mm, source->angle_deg, cell)};
    double half_mm = hypot(made->shape.half_width_mm, made->shape.half_height_mm);
    if (!lies_whole(made, laid, rings, ring_count))
        return SF_OK;
    made->reach_mm = half_mm + REACH_CELLS * cell;
    made->left = bounded(floor((source->x_mm - made->reach_mm) / cell), laid->columns);
    made->low = bounded(floor((source->y_mm - made->reach_mm) / cell), laid->rows);
    made->columns =
        bounded(ceil((source->x_mm + made->reach_mm) / cell), laid->columns) - made->left;
    made->rows = bounded(ceil((source->y_mm + made->reach_mm) / cell), laid->rows) - made->low;
    made->open = array_new(made->columns * made->rows, 1);
    if (!made->open)
        return SF_ERROR_MEMORY;
    open_cells(made, laid, rings, ring_count);
    sf_status status = tabulate(made, laid, cover);
    if (status == SF_OK)
        made->own = own_of(made, laid);
    return status;
}

void peak_clear(source_peak *made)
{
    free(made->open);
    free(made->at);
    free(made->over_mean);
    free(made->lacking);
    *made = (source_peak){0};
}

double peak_at_node(const source_peak *of, const grid *laid, int node)
{
    size_t row = laid->cell_of_node[node] / laid->columns - of->low; /* wraps where below */
    size_t column = laid->cell_of_node[node] % laid->columns - of->left;
    return row < of->rows && column < of->columns ? of->at[row * of->columns + column] : 0;
}

/* Adds factor times one value a cell to what is board of them. */
static void add_cells(const source_peak *of, const grid *laid, const double *values, double factor,
                      double *field)
{
    for (size_t i = 0; i < of->columns * of->rows; i++)
        if (of->open[i])
            field[laid->node_of_cell[cell_of(of, laid, i)]] += factor * values[i];
}

void peak_smooth(const source_peak *of, const grid *laid, double factor, double *field)
{
    add_cells(of, laid, of->over_mean, -factor, field);
}

void peak_correct(const source_peak *of, const grid *laid, double factor, double *field)
{
    add_cells(of, laid, of->lacking, factor, field);
}

double peak_between(const source_peak *of, const grid *laid, const grid_sample *sample,
                    sf_point place)
{
    double dx = place.x_mm - of->shape.x_mm, dy = place.y_mm - of->shape.y_mm;
    double far_mm = of->reach_mm + 2 * laid->cell_mm; /* no node of the sample is nearer */
    if (of->reach_mm <= 0 || dx * dx + dy * dy > far_mm * far_mm)
        return 0;
    double share = 0, between = 0;
    for (size_t i = 0; i < sample->count; i++) {
        share += sample->weights[i];
        between -= sample->weights[i] * peak_at_node(of, laid, sample->nodes[i]);
    }
    return between + share * peak_at(of, laid, place.x_mm, place.y_mm);
}
