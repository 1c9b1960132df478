/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Points against outlines. */
#include "core/geometry.h"

#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

bool ring_contains(const sf_ring *ring, double x_mm, double y_mm)
{
    bool inside = false;
    for (size_t i = 0, before = ring->count - 1; i < ring->count; before = i++) {
        sf_point a = ring->points[i], b = ring->points[before];
        if ((a.y_mm > y_mm) != (b.y_mm > y_mm) &&
            x_mm < (b.x_mm - a.x_mm) * (y_mm - a.y_mm) / (b.y_mm - a.y_mm) + a.x_mm)
            inside = !inside;
    }
    return inside;
}

bool board_contains(const sf_ring *rings, size_t ring_count, double x_mm, double y_mm)
{
    if (ring_count == 0 || !ring_contains(&rings[0], x_mm, y_mm))
        return false;
    for (size_t i = 1; i < ring_count; i++)
        if (ring_contains(&rings[i], x_mm, y_mm))
            return false;
    return true;
}

double segment_distance(sf_point point, sf_point a, sf_point b)
{
    double along_x = b.x_mm - a.x_mm, along_y = b.y_mm - a.y_mm;
    double from_x = point.x_mm - a.x_mm, from_y = point.y_mm - a.y_mm;
    double square = along_x * along_x + along_y * along_y;
    double share = square > 0 ? (from_x * along_x + from_y * along_y) / square : 0;
    share = fmin(fmax(share, 0), 1);
    return hypot(from_x - share * along_x, from_y - share * along_y);
}

double board_distance(const sf_ring *rings, size_t ring_count, double x_mm, double y_mm)
{
    if (board_contains(rings, ring_count, x_mm, y_mm))
        return 0;
    sf_point point = {x_mm, y_mm};
    double nearest = INFINITY;
    for (size_t r = 0; r < ring_count; r++)
        for (size_t i = 0, before = rings[r].count - 1; i < rings[r].count; before = i++)
            nearest =
                fmin(nearest, segment_distance(point, rings[r].points[before], rings[r].points[i]));
    return nearest;
}

static double turn(sf_point a, sf_point b, sf_point c)
{
    return (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm);
}

static bool within_box(sf_point a, sf_point b, sf_point c)
{
    return c.x_mm >= fmin(a.x_mm, b.x_mm) && c.x_mm <= fmax(a.x_mm, b.x_mm) &&
           c.y_mm >= fmin(a.y_mm, b.y_mm) && c.y_mm <= fmax(a.y_mm, b.y_mm);
}

bool segments_meet(sf_point a, sf_point b, sf_point c, sf_point d)
{
    double abc = turn(a, b, c), abd = turn(a, b, d), cda = turn(c, d, a), cdb = turn(c, d, b);
    if (((abc > 0) != (abd > 0)) && ((cda > 0) != (cdb > 0)) && abc != 0 && abd != 0 && cda != 0 &&
        cdb != 0)
        return true;
    return (abc == 0 && within_box(a, b, c)) || (abd == 0 && within_box(a, b, d)) ||
           (cda == 0 && within_box(c, d, a)) || (cdb == 0 && within_box(c, d, b));
}

double ring_area(const sf_ring *ring)
{
    double twice = 0;
    for (size_t i = 0, before = ring->count - 1; i < ring->count; before = i++)
        twice += ring->points[before].x_mm * ring->points[i].y_mm -
                 ring->points[i].x_mm * ring->points[before].y_mm;
    return twice / 2;
}

static double distance_mm(sf_point a, sf_point b)
{
    return hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm);
}

static int by_number(const void *one, const void *other)
{
    size_t a = *(const size_t *)one, b = *(const size_t *)other;
    return (a > b) - (a < b);
}

sf_status points_spread(const sf_point *points, size_t count, size_t first, size_t most,
                        size_t *chosen, size_t *taken)
{
    double *away_mm = array_new(count, sizeof *away_mm);
    *taken = 0;
    if (!away_mm)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < count; i++)
        away_mm[i] = INFINITY;
    for (size_t next = first; *taken < most && *taken < count && away_mm[next] > 0;) {
        chosen[(*taken)++] = next;
        for (size_t i = 0; i < count; i++)
            away_mm[i] = fmin(away_mm[i], distance_mm(points[i], points[next]));
        next = gsl_stats_max_index(away_mm, 1, count);
    }
    free(away_mm);
    qsort(chosen, *taken, sizeof *chosen, by_number);
    return SF_OK;
}
