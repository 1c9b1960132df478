/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Rasters outline and bodies, row by row. */
#include "readings/ground.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "job/places.h"

/* --- hull --- */

static int by_x_then_y(const void *left, const void *right)
{
    const sf_point *a = left, *b = right;
    int order = (a->x_mm > b->x_mm) - (a->x_mm < b->x_mm);
    return order != 0 ? order : (a->y_mm > b->y_mm) - (a->y_mm < b->y_mm);
}

/* Above 0 where c lies to the left of the way from a to b. */
static double turn(sf_point a, sf_point b, sf_point c)
{
    return (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm);
}

/* Adds a corner to a chain that began at `least` corners, and drops those it makes hollow. */
static size_t add_corner(sf_point *hull, size_t corners, size_t least, sf_point added)
{
    while (corners > least && turn(hull[corners - 2], hull[corners - 1], added) <= 0)
        corners--;
    hull[corners] = added;
    return corners + 1;
}

size_t hull_find(sf_point *points, size_t count, sf_point *hull)
{
    size_t corners = 0;
    if (count == 0)
        return 0;
    qsort(points, count, sizeof *points, by_x_then_y);
    for (size_t i = 0; i < count; i++)
        corners = add_corner(hull, corners, 1, points[i]);
    size_t below = corners;
    for (size_t i = count - 1; i-- > 0;)
        corners = add_corner(hull, corners, below, points[i]);
    return corners > 1 ? corners - 1 : corners; /* the last one is the first again */
}

#define CELL_LEAST_MM 0.1
#define CELLS_MOST 2e6

/* A can's circle as a polygon about it: its corners lie 0.9 % of the radius outside. */
enum { CIRCLE_CORNERS = 24, SHADOW_CORNERS = 2 * CIRCLE_CORNERS };

/* Height of what has none in the files. Judgements: common radial cans are 1.2 to 2 times as high
 * as wide; a heat sink is about as high as it is deep, but even a thin one or a resistor on long
 * leads stands some way off the board. */
#define CAN_HEIGHT_SHARE 1.5
#define BODY_HEIGHT_LEAST_MM 15.0
#define BODY_HEIGHT_MOST_MM 25.0

/* A body higher than this share of the camera's own height would hide the whole board. */
#define HEIGHT_SHARE_MOST 0.8

/* --- filling --- */

/* Where the edges of a polygon cross the height y_mm, sorted; their number is even. */
static size_t find_crossings(const sf_point *corners, size_t count, double y_mm, double *x_mm)
{
    size_t found = 0;
    for (size_t i = 0, before = count - 1; i < count; before = i++) {
        sf_point a = corners[i], b = corners[before];
        if ((a.y_mm > y_mm) != (b.y_mm > y_mm))
            x_mm[found++] = a.x_mm + (b.x_mm - a.x_mm) * (y_mm - a.y_mm) / (b.y_mm - a.y_mm);
    }
    gsl_sort(x_mm, 1, found);
    return found;
}

/* The first cell whose centre lies at or beyond a coordinate, within 0 and count. */
static size_t first_beyond(const ground *in, double at_mm, size_t count)
{
    return (size_t)fmin(fmax(ceil(at_mm / in->cell_mm - 0.5), 0), (double)count);
}

/* Cells from one crossing to the next; bodies and masks cover nothing where there is no board. */
static void fill_run(ground *into, size_t row, double from_mm, double to_mm, ground_kind kind)
{
    unsigned char *kinds = into->kinds + row * into->columns;
    size_t end = first_beyond(into, to_mm, into->columns);
    for (size_t i = first_beyond(into, from_mm, into->columns); i < end; i++)
        if (kind == GROUND_BARE || kind == GROUND_NONE || kinds[i] != GROUND_NONE)
            kinds[i] = (unsigned char)kind;
}

/* By the even-odd rule; crossings has room for count. */
static void fill_polygon(ground *into, const sf_point *corners, size_t count, ground_kind kind,
                         double *crossings)
{
    double low_mm = corners[0].y_mm, high_mm = corners[0].y_mm;
    for (size_t i = 1; i < count; i++) {
        low_mm = fmin(low_mm, corners[i].y_mm);
        high_mm = fmax(high_mm, corners[i].y_mm);
    }
    size_t end = first_beyond(into, high_mm, into->rows);
    for (size_t row = first_beyond(into, low_mm, into->rows); row < end; row++) {
        double y_mm = ((double)row + 0.5) * into->cell_mm;
        size_t found = find_crossings(corners, count, y_mm, crossings);
        for (size_t i = 0; i + 1 < found; i += 2)
            fill_run(into, row, crossings[i], crossings[i + 1], kind);
    }
}

/* `first` is the kind of the first ring, `others` that of the rest. */
static bool fill_rings(ground *into, const sf_ring *rings, size_t count, ground_kind first,
                       ground_kind others)
{
    size_t corners_most = 0;
    for (size_t i = 0; i < count; i++)
        corners_most = rings[i].count > corners_most ? rings[i].count : corners_most;
    double *crossings = array_new(corners_most, sizeof *crossings);
    for (size_t i = 0; crossings && i < count; i++)
        fill_polygon(into, rings[i].points, rings[i].count, i == 0 ? first : others, crossings);
    free(crossings);
    return crossings != NULL;
}

/* --- bodies --- */

double part_height_mm(const sf_part *part)
{
    return isnan(part->height_mm) ? CAN_HEIGHT_SHARE * part->diameter_mm : part->height_mm;
}

double source_height_mm(const sf_source *source)
{
    double depth_mm = fmin(source->width_mm, source->height_mm);
    return fmin(fmax(depth_mm, BODY_HEIGHT_LEAST_MM), BODY_HEIGHT_MOST_MM);
}

/* Footprint and what it hides: the hull of its foot and of its top cast on the board. */
static void fill_shadow(ground *into, const viewpoint *from, const sf_point *foot, size_t count,
                        double height_mm)
{
    sf_point points[SHADOW_CORNERS], hull[SHADOW_CORNERS + 1];
    double crossings[SHADOW_CORNERS + 1];
    double above_mm = fmin(height_mm, HEIGHT_SHARE_MOST * from->above_mm);
    for (size_t i = 0; i < count; i++) {
        points[i] = foot[i];
        points[count + i] = viewpoint_cast(from, foot[i], above_mm);
    }
    fill_polygon(into, hull, hull_find(points, 2 * count, hull), GROUND_BODY, crossings);
}

static void fill_part(ground *into, const viewpoint *from, const sf_part *part)
{
    sf_point foot[CIRCLE_CORNERS];
    double radius_mm = part->diameter_mm / 2 / cos(M_PI / CIRCLE_CORNERS);
    for (int i = 0; i < CIRCLE_CORNERS; i++) {
        double angle = 2 * M_PI * i / CIRCLE_CORNERS;
        foot[i] =
            (sf_point){part->x_mm + radius_mm * cos(angle), part->y_mm + radius_mm * sin(angle)};
    }
    fill_shadow(into, from, foot, CIRCLE_CORNERS, part_height_mm(part));
}

static void fill_source(ground *into, const viewpoint *from, const sf_source *source)
{
    static const double corners[4][2] = {{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}};
    sf_point foot[4];
    double angle = source->angle_deg * M_PI / 180, cosine = cos(angle), sine = sin(angle);
    for (int i = 0; i < 4; i++) {
        double along_mm = corners[i][0] * source->width_mm;
        double across_mm = corners[i][1] * source->height_mm;
        foot[i] = (sf_point){source->x_mm + along_mm * cosine - across_mm * sine,
                             source->y_mm + along_mm * sine + across_mm * cosine};
    }
    fill_shadow(into, from, foot, 4, source_height_mm(source));
}

/* --- the margin --- */

/* Turns bare cells within `reach` cells of others into body, along one line of cells `step` apart.
 * A cell turned by this pass does not reach further. */
static void narrow_line(unsigned char *kinds, size_t count, size_t step, size_t reach)
{
    size_t bare = 0; /* bare cells since the last other one, or since the edge */
    for (size_t i = 0; i <= count; i++) {
        if (i < count && kinds[i * step] == GROUND_BARE) {
            bare++;
            continue;
        }
        size_t first = i - bare, turned = bare < 2 * reach ? bare : 2 * reach;
        for (size_t k = 0; k < turned; k++) {
            size_t at = k < (turned + 1) / 2 ? first + k : i - 1 - (k - (turned + 1) / 2);
            kinds[at * step] = GROUND_BODY;
        }
        bare = 0;
    }
}

static void narrow(ground *changed, double margin_mm)
{
    size_t reach = (size_t)ceil(fmin(margin_mm, SF_BOARD_MM_MAX) / changed->cell_mm);
    for (size_t row = 0; row < changed->rows; row++)
        narrow_line(changed->kinds + row * changed->columns, changed->columns, 1, reach);
    for (size_t column = 0; column < changed->columns; column++)
        narrow_line(changed->kinds + column, changed->rows, changed->columns, reach);
}

bool ground_lay(const sf_job *job, const viewpoint *from, double margin_mm, ground *laid)
{
    double width_mm = job->board.width_mm, height_mm = job->board.height_mm;
    *laid = (ground){.cell_mm = fmax(CELL_LEAST_MM, sqrt(width_mm * height_mm / CELLS_MOST))};
    laid->columns = (size_t)ceil(width_mm / laid->cell_mm);
    laid->rows = (size_t)ceil(height_mm / laid->cell_mm);
    laid->kinds = array_new(laid->columns * laid->rows, 1);
    if (!laid->kinds || !fill_rings(laid, job->rings, job->ring_count, GROUND_BARE, GROUND_NONE)) {
        ground_free(laid);
        return false;
    }
    for (size_t i = 0; from->above_mm > 0 && i < job->part_count; i++)
        if (!part_on_solder_side(&job->parts[i]))
            fill_part(laid, from, &job->parts[i]);
    for (size_t i = 0; from->above_mm > 0 && i < job->source_count; i++)
        if (job->sources[i].side != SF_SIDE_SOLDER)
            fill_source(laid, from, &job->sources[i]);
    if (!fill_rings(laid, job->masks, job->mask_count, GROUND_MASKED, GROUND_MASKED)) {
        ground_free(laid);
        return false;
    }
    narrow(laid, margin_mm);
    return true;
}

void ground_free(ground *freed)
{
    free(freed->kinds);
    freed->kinds = NULL;
}
