/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Fits a circle to the edges about a middle. */
#include "readings/circle_fit.h"

#include <math.h>

enum { ANGLES = 72, EDGES_A_RAY = 4, FITS = 4 };

/* An edge belongs to a circle where its gradient points to the middle or away from it. */
static const double aligned = 0.92;

typedef struct about {
    double radius_px[ANGLES * EDGES_A_RAY]; /* of edges that look at the middle or away from it */
    double column[ANGLES * EDGES_A_RAY], row[ANGLES * EDGES_A_RAY];
    int angle[ANGLES * EDGES_A_RAY], count;
} about;

static void look_about(const edge_map *in, const circle *from, double least, double most,
                       about *seen)
{
    seen->count = 0;
    for (int i = 0; i < ANGLES; i++) {
        double across = cos(2 * M_PI * i / ANGLES), down = sin(2 * M_PI * i / ANGLES);
        int here = 0;
        for (double away = least; away <= most && here < EDGES_A_RAY; away += 1) {
            int column = (int)lround(from->column + away * across);
            int row = (int)lround(from->row + away * down);
            if (column < 0 || row < 0 || column >= in->columns || row >= in->rows)
                break;
            edge at = in->at[row * in->columns + column];
            if (fabs(at.across * across + at.down * down) < aligned)
                continue;
            seen->column[seen->count] = column;
            seen->row[seen->count] = row;
            seen->radius_px[seen->count] = hypot(column - from->column, row - from->row);
            seen->angle[seen->count++] = i;
            here++;
        }
    }
}

/* How many directions hold an edge within `reach` of a radius. */
static int directions_at(const about *seen, double radius, double reach)
{
    int found = 0, last = -1;
    for (int i = 0; i < seen->count; i++)
        if (fabs(seen->radius_px[i] - radius) <= reach && seen->angle[i] != last) {
            last = seen->angle[i];
            found++;
        }
    return found;
}

static double likeliest_radius(const about *seen, double least, double most, double reach)
{
    double best = least;
    int most_found = -1;
    for (double radius = least; radius <= most; radius += 0.5) {
        int found = directions_at(seen, radius, reach);
        if (found >= most_found) {
            most_found = found;
            best = radius;
        }
    }
    return best;
}

/* Least squares of x^2 + y^2 = 2ax + 2by + c over what lies within reach of the radius, with its
 * origin at the middle so far. */
static bool fit_circle(const about *seen, double radius, double reach, circle *of)
{
    double n = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0, xz = 0, yz = 0, z = 0;
    for (int i = 0; i < seen->count; i++) {
        if (fabs(seen->radius_px[i] - radius) > reach)
            continue;
        double a = seen->column[i] - of->column, b = seen->row[i] - of->row, c = a * a + b * b;
        n++, x += a, y += b, z += c;
        xx += a * a, xy += a * b, yy += b * b, xz += a * c, yz += b * c;
    }
    if (n < 8)
        return false;
    xx -= x * x / n, xy -= x * y / n, yy -= y * y / n, xz -= x * z / n, yz -= y * z / n;
    double determinant = xx * yy - xy * xy;
    if (!(determinant > 0.01 * xx * yy))
        return false;
    double right = (xz * yy - yz * xy) / determinant / 2;
    double lower = (yz * xx - xz * xy) / determinant / 2;
    if (hypot(right, lower) > radius / 2)
        return false;
    of->radius_px =
        sqrt(fmax(z / n - 2 * (right * x + lower * y) / n + right * right + lower * lower, 0));
    of->column += right;
    of->row += lower;
    return true;
}

bool circle_settle(const edge_map *in, double least_px, double most_px, circle *of)
{
    double least = least_px * 0.85, most = most_px * 1.15;
    about seen;
    for (int fit = 0; fit < FITS; fit++) {
        double reach = fmax(1.5, 0.12 * most_px / (1 << fit));
        look_about(in, of, least, most, &seen);
        double radius = likeliest_radius(&seen, least, most, reach);
        if (!fit_circle(&seen, radius, reach, of))
            return false;
    }
    look_about(in, of, least, most, &seen);
    double reach = fmax(1.5, 0.03 * of->radius_px);
    of->seen = (double)directions_at(&seen, of->radius_px, reach) / ANGLES;
    return of->radius_px >= least && of->radius_px <= most;
}
