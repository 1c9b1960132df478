/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Andrew's monotone chain. */
#include "readings/hull.h"

#include <stdlib.h>

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
