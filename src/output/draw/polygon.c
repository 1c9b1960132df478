/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Filling polygons in a plane of coverage: each pixel row is cut by sixteen lines, along each the
 * spans inside are exact, so that slanting edges come out smooth and rows cost what they hold. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_sort_float.h>

#include "core/memory.h"
#include "output/draw/mask.h"

enum { LINES = 16, UNIT = 256, CROSSINGS_MAX = 1 << 26 };

/* Where the edges of a polygon cross the lines of the rows it touches, line by line. */
typedef struct crossings {
    int left, right; /* pixels the polygon touches; right outside */
    int top, rows;
    size_t *starts; /* per line the first of its crossings, one more at the end */
    float *x_px;
} crossings;

/* The lines first..last-1 that an edge crosses, counted from the top of the polygon's rows. */
static bool edge_lines(const crossings *found, place a, place b, long *first, long *last)
{
    double lines = (double)found->rows * LINES, offset = (double)found->top * LINES;
    double upper = fmin(a.y_px, b.y_px) * LINES - offset - 0.5;
    double lower = fmax(a.y_px, b.y_px) * LINES - offset - 0.5;
    *first = (long)ceil(fmin(fmax(upper, 0), lines));
    *last = (long)ceil(fmin(fmax(lower, 0), lines));
    return *first < *last;
}

static bool count_crossings(crossings *found, const place *corners, size_t count)
{
    size_t lines = (size_t)found->rows * LINES, total = 0;
    long first, last;
    for (size_t i = 0, before = count - 1; i < count; before = i++)
        if (edge_lines(found, corners[before], corners[i], &first, &last)) {
            total += (size_t)(last - first);
            if (total > CROSSINGS_MAX)
                return false;
            for (long line = first; line < last; line++)
                found->starts[line + 1]++;
        }
    for (size_t line = 0; line < lines; line++)
        found->starts[line + 1] += found->starts[line];
    return true;
}

/* fills from the end of each line's room downwards, so that starts[line + 1] ends as its start */
static void note_crossings(crossings *found, const place *corners, size_t count)
{
    long first, last;
    for (size_t i = 0, before = count - 1; i < count; before = i++) {
        place a = corners[before], b = corners[i];
        if (!edge_lines(found, a, b, &first, &last))
            continue;
        double slope = (b.x_px - a.x_px) / (b.y_px - a.y_px);
        for (long line = first; line < last; line++) {
            double y_px = found->top + ((double)line + 0.5) / LINES;
            found->x_px[--found->starts[line + 1]] = (float)(a.x_px + slope * (y_px - a.y_px));
        }
    }
}

/* lines have few crossings, which this sorts faster */
static void sort_line(float *x_px, size_t count)
{
    if (count > 32) {
        gsl_sort_float(x_px, 1, count);
        return;
    }
    for (size_t i = 1; i < count; i++) {
        float moved = x_px[i];
        size_t j = i;
        for (; j > 0 && x_px[j - 1] > moved; j--)
            x_px[j] = x_px[j - 1];
        x_px[j] = moved;
    }
}

/* adds to running sums: summed up from the left, every pixel right of x_px is `sign` covered */
static void begin_at(const crossings *found, int *sums, float x_px, int sign)
{
    float from_left = x_px - (float)found->left, most = (float)(found->right - found->left);
    float held = from_left < 0 ? 0 : from_left > most ? most : from_left;
    int column = (int)held, part = (int)(UNIT * (held - (float)column) + 0.5f);
    sums[column] += sign * (UNIT - part);
    sums[column + 1] += sign * part;
}

static void sum_row(const crossings *found, int y, int *sums)
{
    memset(sums, 0, (size_t)(found->right - found->left + 2) * sizeof *sums);
    size_t line = (size_t)(y - found->top) * LINES;
    for (size_t end = line + LINES; line < end; line++) {
        /* starts[line + 1] was wound back to the start of this line's crossings */
        float *x_px = found->x_px + found->starts[line + 1];
        size_t count = found->starts[line + 2] - found->starts[line + 1];
        sort_line(x_px, count);
        for (size_t i = 0; i + 1 < count; i += 2) {
            begin_at(found, sums, x_px[i], 1);
            begin_at(found, sums, x_px[i + 1], -1);
        }
    }
}

/* lays one value on a run of pixels */
static void lay_run(unsigned char *pixels, int count, int value, mask_mode mode)
{
    if (value == 255) {
        memset(pixels, mode == MASK_ADD ? 255 : 0, (size_t)count);
        return;
    }
    for (int i = 0; i < count; i++) {
        int kept = mode == MASK_ERASE  ? pixels[i] * (255 - value) / 255
                   : value > pixels[i] ? value
                                       : pixels[i];
        pixels[i] = (unsigned char)kept;
    }
}

/* most of a row is inside or outside: runs where the sums do not change are laid at once */
static void lay_row(mask *into, const crossings *found, int y, const int *sums, mask_mode mode)
{
    unsigned char *row = into->cover + (size_t)y * (size_t)into->width_px + found->left;
    int covered = 0, width = found->right - found->left;
    for (int x = 0, end; x < width; x = end) {
        covered += sums[x];
        for (end = x + 1; end < width && sums[end] == 0;)
            end++;
        int value = (covered * 255 + LINES * UNIT / 2) / (LINES * UNIT);
        if (value > 0)
            lay_run(row + x, end - x, value, mode);
    }
}

/* the pixels a polygon can touch; false where there are none */
static bool find_extent(const mask *into, const place *corners, size_t count, crossings *found)
{
    double width = into->width_px, height = into->height_px;
    box around = box_around(corners, count);
    found->left = (int)fmin(fmax(around.left, 0), width);
    found->top = (int)fmin(fmax(around.top, 0), height);
    found->right = (int)fmin(fmax(around.right + 1, 0), width);
    found->rows = (int)fmin(fmax(around.bottom + 1, 0), height) - found->top;
    return found->left < found->right && found->rows > 0;
}

void mask_polygon(mask *into, const place *corners, size_t count, mask_mode mode)
{
    crossings found = {0};
    if (count < 3 || !find_extent(into, corners, count, &found))
        return;
    size_t lines = (size_t)found.rows * LINES;
    found.starts = array_new(lines + 2, sizeof *found.starts);
    int *sums = array_new((size_t)(found.right - found.left) + 2, sizeof *sums);
    if (found.starts && sums && count_crossings(&found, corners, count))
        found.x_px = array_new(found.starts[lines], sizeof *found.x_px);
    if (found.x_px) {
        found.starts[lines + 1] = found.starts[lines];
        note_crossings(&found, corners, count);
        for (int y = found.top; y < found.top + found.rows; y++) {
            mask_touch(into, y, found.left, found.right);
            sum_row(&found, y, sums);
            lay_row(into, &found, y, sums, mode);
        }
    } else {
        into->failed = true;
    }
    free(found.starts);
    free(found.x_px);
    free(sums);
}
