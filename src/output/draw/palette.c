/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The scale of the map, and that of changes. The first goes from deep indigo by petrol, sage and
 * mauve to apricot and cream. Lightness rises evenly; the hues were sought by search, so that each
 * tenth of the scale stays apart from the next in full, red-blind, green-blind and blue-blind
 * sight. */
#include <math.h>
#include <stddef.h>

#include "output/draw/colour.h"

static const double darkest = 16, lightest = 96;

/* CIELAB a and b at each tenth of the scale */
static const double hues[][2] = {{39.7, -54.6}, {9.5, -38.8}, {-7.0, -19.3}, {-12.1, -2.5},
                                 {-8.4, 5.0},   {1.1, 0.7},   {10.8, -2.0},  {15.3, 9.0},
                                 {13.6, 25.9},  {5.5, 35.6},  {-9.0, 25.3}};

enum { TENTHS = sizeof hues / sizeof hues[0] - 1 };

/* hue beyond an end goes on straight */
static double hue_at(int tenth, int axis)
{
    if (tenth < 0)
        return 2 * hues[0][axis] - hues[1][axis];
    if (tenth > TENTHS)
        return 2 * hues[TENTHS][axis] - hues[TENTHS - 1][axis];
    return hues[tenth][axis];
}

/* Catmull-Rom spline through the tenths */
static double hue_between(double share, int axis)
{
    int tenth = (int)fmin(share * TENTHS, TENTHS - 1);
    double t = share * TENTHS - tenth;
    double a = hue_at(tenth - 1, axis), b = hue_at(tenth, axis);
    double c = hue_at(tenth + 1, axis), d = hue_at(tenth + 2, axis);
    return b + t / 2 * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
}

sf_colour sf_palette_colour(double share)
{
    double held = isnan(share) ? 0 : fmin(fmax(share, 0), 1);
    return colour_from_lab((lab_colour){darkest + (lightest - darkest) * held, hue_between(held, 0),
                                        hue_between(held, 1)});
}

/* --- changes: blue for cooler, orange for hotter, grey between; opposites that no usual colour
 * blindness confuses (both lie apart in the blue-yellow sense and in lightness) --- */

static const double change_darkest = 26, change_lightest = 90;

/* CIELAB a and b at each quarter of that scale */
static const double change_hues[][2] = {{10, -42}, {2, -32}, {0, 0}, {12, 35}, {3, 42}};

enum { QUARTERS = sizeof change_hues / sizeof change_hues[0] - 1 };

sf_colour sf_change_colour(double share)
{
    double held = isnan(share) ? 0.5 : fmin(fmax(share, 0), 1);
    int quarter = (int)fmin(held * QUARTERS, QUARTERS - 1);
    double t = held * QUARTERS - quarter;
    const double *from = change_hues[quarter], *to = change_hues[quarter + 1];
    return colour_from_lab((lab_colour){change_darkest + (change_lightest - change_darkest) * held,
                                        from[0] + t * (to[0] - from[0]),
                                        from[1] + t * (to[1] - from[1])});
}
