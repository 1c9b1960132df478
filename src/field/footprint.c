/* Which cells a heat source covers, and how much of each. */
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "field/grid.h"

#define SUBCELLS 8 /* each way, for turned rectangles */

typedef struct rectangle {
    double x_mm, y_mm, half_width_mm, half_height_mm, cosine, sine;
} rectangle;

static double overlap(double low_a, double high_a, double low_b, double high_b)
{
    return fmax(0, fmin(high_a, high_b) - fmax(low_a, low_b));
}

/* Exact share of a cell under an upright rectangle. */
static double upright_share(const rectangle *shape, double x_mm, double y_mm, double cell_mm)
{
    double half = cell_mm / 2;
    double across = overlap(x_mm - half, x_mm + half, shape->x_mm - shape->half_width_mm,
                            shape->x_mm + shape->half_width_mm);
    double upward = overlap(y_mm - half, y_mm + half, shape->y_mm - shape->half_height_mm,
                            shape->y_mm + shape->half_height_mm);
    return across * upward / (cell_mm * cell_mm);
}

/* Share of a cell under a turned rectangle, by counting points. */
static double turned_share(const rectangle *shape, double x_mm, double y_mm, double cell_mm)
{
    int within = 0;
    for (int i = 0; i < SUBCELLS * SUBCELLS; i++) {
        double dx = x_mm + ((i % SUBCELLS + 0.5) / SUBCELLS - 0.5) * cell_mm - shape->x_mm;
        double dy = y_mm + ((i / SUBCELLS + 0.5) / SUBCELLS - 0.5) * cell_mm - shape->y_mm;
        within += fabs(dx * shape->cosine + dy * shape->sine) <= shape->half_width_mm &&
                  fabs(dy * shape->cosine - dx * shape->sine) <= shape->half_height_mm;
    }
    return (double)within / (SUBCELLS * SUBCELLS);
}

static size_t bounded(double index, size_t count)
{
    return (size_t)fmin(fmax(index, 0), (double)count);
}

sf_status grid_cover(const grid *laid, double x_mm, double y_mm, double width_mm, double height_mm,
                     double angle_deg, footprint *covered)
{
    double angle = angle_deg * M_PI / 180;
    rectangle shape = {x_mm, y_mm, width_mm / 2, height_mm / 2, cos(angle), sin(angle)};
    double reach_x =
        fabs(shape.half_width_mm * shape.cosine) + fabs(shape.half_height_mm * shape.sine);
    double reach_y =
        fabs(shape.half_width_mm * shape.sine) + fabs(shape.half_height_mm * shape.cosine);
    double cell = laid->cell_mm;
    size_t left = bounded(floor((x_mm - reach_x) / cell), laid->columns);
    size_t right = bounded(ceil((x_mm + reach_x) / cell), laid->columns);
    size_t low = bounded(floor((y_mm - reach_y) / cell), laid->rows);
    size_t high = bounded(ceil((y_mm + reach_y) / cell), laid->rows);
    *covered = (footprint){
        .shares = array_new((right - left) * (high - low) + 1, sizeof *covered->shares)};
    if (!covered->shares)
        return SF_ERROR_MEMORY;
    double shares = 0;
    for (size_t row = low; row < high; row++)
        for (size_t column = left; column < right; column++) {
            size_t at = row * laid->columns + column;
            if (laid->node_of_cell[at] == NO_NODE)
                continue;
            double share =
                fmod(angle_deg, 180) == 0
                    ? upright_share(&shape, cell_x_mm(laid, at), cell_y_mm(laid, at), cell)
                    : turned_share(&shape, cell_x_mm(laid, at), cell_y_mm(laid, at), cell);
            if (share <= 0)
                continue;
            covered->shares[covered->count++] = (cell_share){laid->node_of_cell[at], share};
            shares += share;
        }
    if (covered->count == 0) {
        covered->shares[covered->count++] = (cell_share){grid_nearest_node(laid, x_mm, y_mm), 1};
        shares = 1;
    }
    covered->area_mm2 = shares * cell * cell;
    return SF_OK;
}
