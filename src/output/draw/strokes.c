/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Outlines, dashes and hatching. */
#include "output/draw/mask.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_sort.h>

#include "core/memory.h"

double stroke_crisp(double at_px)
{
    return floor(at_px) + 0.5;
}

void stroke_outline(mask *into, const place *corners, size_t count, double width_px)
{
    for (size_t i = 0, before = count - 1; i < count; before = i++)
        mask_line(into, corners[before], corners[i], width_px);
}

/* How far along its pattern a dashed line is. */
typedef struct dash {
    const double *pattern_px;
    size_t count, at;
    double left_px; /* of the current length */
} dash;

static place between(place a, place b, double share)
{
    return (place){a.x_px + share * (b.x_px - a.x_px), a.y_px + share * (b.y_px - a.y_px)};
}

static void dash_side(mask *into, dash *pen, place a, place b, double width_px)
{
    double length_px = hypot(b.x_px - a.x_px, b.y_px - a.y_px);
    for (double done_px = 0; done_px < length_px;) {
        double step_px = fmin(pen->left_px, length_px - done_px);
        if (pen->at % 2 == 0)
            mask_line(into, between(a, b, done_px / length_px),
                      between(a, b, (done_px + step_px) / length_px), width_px);
        done_px += step_px;
        pen->left_px -= step_px;
        if (pen->left_px <= 0) {
            pen->at = (pen->at + 1) % pen->count;
            pen->left_px = pen->pattern_px[pen->at];
        }
    }
}

void stroke_dashes(mask *into, const place *corners, size_t count, double width_px,
                   const double *pattern_px, size_t pattern_count)
{
    dash pen = {pattern_px, pattern_count, 0, pattern_px[0]};
    for (size_t i = 0, before = count - 1; i < count; before = i++)
        dash_side(into, &pen, corners[before], corners[i], width_px);
}

/* Hatch line k runs where x + y = k * spacing * sqrt(2); along it, places differ by x - y. */
static double across(place at)
{
    return at.x_px + at.y_px;
}

static double along(place at)
{
    return at.x_px - at.y_px;
}

static size_t hatch_crossings(const place *corners, size_t count, double line, double *at)
{
    size_t found = 0;
    for (size_t i = 0, before = count - 1; i < count; before = i++) {
        double a = across(corners[before]), b = across(corners[i]);
        if ((a > line) == (b > line))
            continue;
        double share = (line - a) / (b - a);
        at[found++] = along(corners[before]) + share * (along(corners[i]) - along(corners[before]));
    }
    gsl_sort(at, 1, found);
    return found;
}

/* one hatch line between two places along it, cut to the box */
static void hatch_piece(mask *into, double line, double from, double to, double width_px,
                        box within)
{
    double first = fmax(from, fmax(2 * within.left - line, line - 2 * within.bottom));
    double last = fmin(to, fmin(2 * within.right - line, line - 2 * within.top));
    if (first < last)
        mask_line(into, (place){(line + first) / 2, (line - first) / 2},
                  (place){(line + last) / 2, (line - last) / 2}, width_px);
}

void stroke_hatch(mask *into, const place *corners, size_t count, double width_px,
                  double spacing_px, box within)
{
    double *at = array_new(count, sizeof *at), step = spacing_px * sqrt(2);
    within.left = fmax(within.left, 0);
    within.top = fmax(within.top, 0);
    within.right = fmin(within.right, into->width_px);
    within.bottom = fmin(within.bottom, into->height_px);
    double least = within.left + within.top, most = within.right + within.bottom;
    if (!at) {
        into->failed = true;
        return;
    }
    for (double k = ceil(least / step); k * step <= most; k++) {
        size_t found = hatch_crossings(corners, count, k * step, at);
        for (size_t i = 0; i + 1 < found; i += 2)
            hatch_piece(into, k * step, at[i], at[i + 1], width_px, within);
    }
    free(at);
}
