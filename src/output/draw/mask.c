/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Strokes, circles and stamps in a plane of coverage. */
#include "output/draw/mask.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

bool mask_new(mask *made, int width_px, int height_px)
{
    *made = (mask){.width_px = width_px, .height_px = height_px, .top = height_px};
    made->bit_px = (width_px + 63) / 64;
    made->cover = array_new((size_t)width_px, (size_t)height_px);
    made->touched = array_new((size_t)height_px, sizeof *made->touched);
    return made->cover && made->touched;
}

void mask_free(mask *freed)
{
    free(freed->cover);
    free(freed->touched);
    *freed = (mask){0};
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

static int most(int a, int b)
{
    return a > b ? a : b;
}

void mask_touch(mask *into, int y, int left, int right)
{
    int first = left / into->bit_px, last = (right - 1) / into->bit_px;
    into->touched[y] |= (~UINT64_C(0) << first) & (~UINT64_C(0) >> (63 - last));
    into->top = least(into->top, y);
    into->bottom = most(into->bottom, y + 1);
}

bool mask_next_run(const mask *in, int y, int *left, int *right)
{
    int bit = (*right + in->bit_px - 1) / in->bit_px;
    uint64_t ahead = bit < 64 ? in->touched[y] >> bit : 0;
    if (ahead == 0)
        return false;
    bit += __builtin_ctzll(ahead);
    *left = bit * in->bit_px;
    uint64_t free = ~(in->touched[y] >> bit);
    bit = free == 0 ? 64 : bit + __builtin_ctzll(free);
    *right = least(bit * in->bit_px, in->width_px);
    return true;
}

void mask_clear(mask *cleared)
{
    for (int y = cleared->top; y < cleared->bottom; y++) {
        unsigned char *row = cleared->cover + (size_t)y * (size_t)cleared->width_px;
        for (int left, right = 0; mask_next_run(cleared, y, &left, &right);)
            memset(row + left, 0, (size_t)(right - left));
        cleared->touched[y] = 0;
    }
    cleared->top = cleared->height_px;
    cleared->bottom = 0;
}

/* far off the plane the exact pixel no longer matters, but an int must hold it */
static int pixel(double at_px)
{
    if (!(at_px > -1e8))
        return -100000000;
    if (at_px > 1e8)
        return 100000000;
    int whole = (int)at_px;
    return whole - (at_px < whole);
}

static void cover_more(unsigned char *cover, float share)
{
    int value = share >= 1 ? 255 : (int)(255 * share + 0.5f);
    if (value > *cover)
        *cover = (unsigned char)value;
}

/* A stroke from its first end. Reckoned in floats from there, which hold any picture well enough.
 */
typedef struct stroke {
    place from;
    float along_x, along_y; /* to the other end */
    float per_square;       /* one over its length squared; 0 for a dot */
    float reach_px;         /* half its width and half a pixel: nothing further off is touched */
    double slope, half_px;  /* of its middle in columns a row; half its width along a row */
} stroke;

static stroke stroke_make(place from, place to, double width_px)
{
    double along_x = to.x_px - from.x_px, along_y = to.y_px - from.y_px;
    double square = along_x * along_x + along_y * along_y, reach_px = width_px / 2 + 0.5;
    bool level = fabs(along_y) < 1e-3 * fabs(along_x) || along_y == 0;
    return (stroke){.from = from,
                    .along_x = (float)along_x,
                    .along_y = (float)along_y,
                    .per_square = square > 0 ? (float)(1 / square) : 0,
                    .reach_px = (float)reach_px,
                    .slope = level ? 0 : along_x / along_y,
                    .half_px = level ? 1e8 : reach_px * sqrt(square) / fabs(along_y) + 1};
}

static void stroke_row(mask *into, const stroke *line, int y, int left, int right)
{
    if (left >= right)
        return;
    mask_touch(into, y, left, right);
    unsigned char *row = into->cover + (size_t)y * (size_t)into->width_px;
    float outside = line->reach_px * line->reach_px;
    float whole = line->reach_px > 1 ? (line->reach_px - 1) * (line->reach_px - 1) : -1;
    float from_y = (float)(y + 0.5 - line->from.y_px);
    for (int x = left; x < right; x++) {
        float dx = (float)(x + 0.5 - line->from.x_px), dy = from_y;
        float share = (dx * line->along_x + dy * line->along_y) * line->per_square;
        share = share < 0 ? 0 : share > 1 ? 1 : share;
        dx -= share * line->along_x;
        dy -= share * line->along_y;
        float square = dx * dx + dy * dy;
        if (square <= whole)
            row[x] = 255;
        else if (square < outside)
            cover_more(row + x, line->reach_px - sqrtf(square));
    }
}

void mask_line(mask *into, place from, place to, double width_px)
{
    stroke line = stroke_make(from, to, width_px);
    double reach_px = (double)line.reach_px;
    int left = most(pixel(fmin(from.x_px, to.x_px) - reach_px), 0);
    int right = least(pixel(fmax(from.x_px, to.x_px) + reach_px) + 1, into->width_px);
    int top = most(pixel(fmin(from.y_px, to.y_px) - reach_px), 0);
    int bottom = least(pixel(fmax(from.y_px, to.y_px) + reach_px) + 1, into->height_px);
    for (int y = top; y < bottom; y++) {
        double middle = from.x_px + line.slope * (y + 0.5 - from.y_px);
        stroke_row(into, &line, y, most(left, pixel(middle - line.half_px)),
                   least(right, pixel(middle + line.half_px) + 1));
    }
}

/* The pixels between two radii, each edge half a pixel to either side. */
typedef struct band {
    place centre;
    double inner_px, outer_px;
    double hole, outside; /* squares of the radii at which it is free */
    double from, to;      /* and between which it is whole */
} band;

static double square_of(double radius_px)
{
    return radius_px > 0 ? radius_px * radius_px : 0;
}

static void band_row(mask *into, const band *shape, int y, int left, int right)
{
    if (left >= right)
        return;
    mask_touch(into, y, left, right);
    unsigned char *row = into->cover + (size_t)y * (size_t)into->width_px;
    double dy = y + 0.5 - shape->centre.y_px;
    for (int x = left; x < right; x++) {
        double dx = x + 0.5 - shape->centre.x_px, square = dx * dx + dy * dy;
        if (square >= shape->outside || square < shape->hole)
            continue;
        if (square >= shape->from && square <= shape->to) {
            row[x] = 255;
            continue;
        }
        double distance = sqrt(square);
        double share = fmin(shape->outer_px + 0.5 - distance, distance - shape->inner_px + 0.5);
        cover_more(row + x, (float)share);
    }
}

static void cover_band(mask *into, const band *shape)
{
    place centre = shape->centre;
    double reach_px = shape->outer_px + 0.5;
    int top = most(pixel(centre.y_px - reach_px), 0);
    int bottom = least(pixel(centre.y_px + reach_px) + 1, into->height_px);
    for (int y = top; y < bottom; y++) {
        double dy = y + 0.5 - centre.y_px;
        double half_px = sqrt(fmax(shape->outside - dy * dy, 0));
        band_row(into, shape, y, most(pixel(centre.x_px - half_px), 0),
                 least(pixel(centre.x_px + half_px) + 1, into->width_px));
    }
}

void mask_disc(mask *into, place centre, double radius_px)
{
    band shape = {
        centre, -1, radius_px, 0, square_of(radius_px + 0.5), 0, square_of(radius_px - 0.5)};
    cover_band(into, &shape);
}

void mask_ring(mask *into, place centre, double radius_px, double width_px)
{
    double inner_px = fmax(radius_px - width_px / 2, 0), outer_px = radius_px + width_px / 2;
    band shape = {centre,
                  inner_px,
                  outer_px,
                  square_of(inner_px - 0.5),
                  square_of(outer_px + 0.5),
                  square_of(inner_px + 0.5),
                  square_of(outer_px - 0.5)};
    cover_band(into, &shape);
}

void mask_stamp(mask *into, const unsigned char *cover, int width, int height, int left, int top)
{
    int first = most(left, 0), last = least(left + width, into->width_px);
    int upper = most(top, 0), lower = least(top + height, into->height_px);
    for (int y = upper; y < lower && first < last; y++) {
        unsigned char *row = into->cover + (size_t)y * (size_t)into->width_px;
        const unsigned char *from = cover + (size_t)(y - top) * (size_t)width;
        mask_touch(into, y, first, last);
        for (int x = first; x < last; x++)
            if (from[x - left] > row[x])
                row[x] = from[x - left];
    }
}

bool mask_covers(const mask *in, place at)
{
    int x = pixel(at.x_px), y = pixel(at.y_px);
    return x >= 0 && y >= 0 && x < in->width_px && y < in->height_px &&
           in->cover[(size_t)y * (size_t)in->width_px + (size_t)x] > 127;
}

double mask_share(const mask *in, box where)
{
    enum { LINES = 3, COLUMNS = 16 };
    int covered = 0;
    for (int line = 0; line < LINES; line++)
        for (int column = 0; column < COLUMNS; column++) {
            double x = column / (COLUMNS - 1.0), y = line / (LINES - 1.0);
            covered += mask_covers(in, (place){where.left + x * (where.right - where.left),
                                               where.top + y * (where.bottom - where.top)});
        }
    return covered / (double)(LINES * COLUMNS);
}
