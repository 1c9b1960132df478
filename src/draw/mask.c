/* Strokes, circles and stamps in a plane of coverage. */
#include "draw/mask.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

bool mask_new(mask *made, int width_px, int height_px)
{
    *made = (mask){.width_px = width_px, .height_px = height_px};
    made->cover = array_new((size_t)width_px, (size_t)height_px);
    made->left = width_px;
    made->top = height_px;
    return made->cover != NULL;
}

void mask_free(mask *freed)
{
    free(freed->cover);
    *freed = (mask){0};
}

void mask_clear(mask *cleared)
{
    for (int y = cleared->top; y < cleared->bottom; y++)
        memset(cleared->cover + (size_t)y * (size_t)cleared->width_px + cleared->left, 0,
               (size_t)(cleared->right - cleared->left));
    cleared->left = cleared->width_px;
    cleared->top = cleared->height_px;
    cleared->right = cleared->bottom = 0;
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

static int most(int a, int b)
{
    return a > b ? a : b;
}

bool mask_touch(mask *into, int *left, int *top, int *right, int *bottom)
{
    *left = most(*left, 0);
    *top = most(*top, 0);
    *right = least(*right, into->width_px);
    *bottom = least(*bottom, into->height_px);
    if (*left >= *right || *top >= *bottom || into->failed)
        return false;
    into->left = least(into->left, *left);
    into->top = least(into->top, *top);
    into->right = most(into->right, *right);
    into->bottom = most(into->bottom, *bottom);
    return true;
}

/* far off the plane the exact pixel no longer matters, but an int must hold it */
static int pixel(double at_px)
{
    return (int)floor(fmin(fmax(at_px, -1e8), 1e8));
}

static void cover_more(unsigned char *cover, double share)
{
    unsigned char value = (unsigned char)(255 * (share < 1 ? share : 1) + 0.5);
    if (value > *cover)
        *cover = value;
}

/* A stroke seen from its middle: `reach` beyond its ends and sides holds every touched pixel. */
typedef struct stroke {
    place from;
    double along_x, along_y, square; /* to the other end, and its length squared */
    double half_px, reach_px;
} stroke;

static double stroke_distance_squared(const stroke *line, double x_px, double y_px)
{
    double dx = x_px - line->from.x_px, dy = y_px - line->from.y_px;
    double share =
        line->square > 0 ? (dx * line->along_x + dy * line->along_y) / line->square : 0;
    share = share < 0 ? 0 : share > 1 ? 1 : share;
    dx -= share * line->along_x;
    dy -= share * line->along_y;
    return dx * dx + dy * dy;
}

/* the columns of one row that the endless line through the stroke can touch */
static void stroke_span(const stroke *line, double y_px, int *left, int *right)
{
    double dy = fabs(line->along_y);
    if (dy < 1e-3 * fabs(line->along_x) || dy == 0)
        return;
    double middle = line->from.x_px + line->along_x * (y_px - line->from.y_px) / line->along_y;
    double half = line->reach_px * sqrt(line->square) / dy + 1;
    *left = most(*left, pixel(middle - half));
    *right = least(*right, pixel(middle + half) + 1);
}

static void stroke_row(mask *into, const stroke *line, int y, int left, int right)
{
    unsigned char *row = into->cover + (size_t)y * (size_t)into->width_px;
    double outside = line->reach_px * line->reach_px;
    for (int x = left; x < right; x++) {
        double square = stroke_distance_squared(line, x + 0.5, y + 0.5);
        if (square < outside)
            cover_more(row + x, line->reach_px - sqrt(square));
    }
}

void mask_line(mask *into, place from, place to, double width_px)
{
    stroke line = {.from = from, .along_x = to.x_px - from.x_px, .along_y = to.y_px - from.y_px};
    line.square = line.along_x * line.along_x + line.along_y * line.along_y;
    line.half_px = width_px / 2;
    line.reach_px = line.half_px + 0.5;
    int left = pixel(fmin(from.x_px, to.x_px) - line.reach_px);
    int right = pixel(fmax(from.x_px, to.x_px) + line.reach_px) + 1;
    int top = pixel(fmin(from.y_px, to.y_px) - line.reach_px);
    int bottom = pixel(fmax(from.y_px, to.y_px) + line.reach_px) + 1;
    if (!mask_touch(into, &left, &top, &right, &bottom))
        return;
    for (int y = top; y < bottom; y++) {
        int first = left, last = right;
        stroke_span(&line, y + 0.5, &first, &last);
        stroke_row(into, &line, y, first, last);
    }
}

/* every pixel between two radii, its edge half a pixel to either side */
static void cover_band(mask *into, place centre, double inner_px, double outer_px)
{
    int left = pixel(centre.x_px - outer_px - 1), right = pixel(centre.x_px + outer_px + 1) + 1;
    int top = pixel(centre.y_px - outer_px - 1), bottom = pixel(centre.y_px + outer_px + 1) + 1;
    if (!mask_touch(into, &left, &top, &right, &bottom))
        return;
    double outside = (outer_px + 0.5) * (outer_px + 0.5);
    double hole = inner_px > 0.5 ? (inner_px - 0.5) * (inner_px - 0.5) : -1;
    for (int y = top; y < bottom; y++) {
        unsigned char *row = into->cover + (size_t)y * (size_t)into->width_px;
        double dy = y + 0.5 - centre.y_px;
        for (int x = left; x < right; x++) {
            double dx = x + 0.5 - centre.x_px, square = dx * dx + dy * dy;
            if (square >= outside || square <= hole)
                continue;
            double distance = sqrt(square);
            cover_more(row + x, fmin(outer_px + 0.5 - distance, distance - inner_px + 0.5));
        }
    }
}

void mask_disc(mask *into, place centre, double radius_px)
{
    cover_band(into, centre, -1, radius_px);
}

void mask_ring(mask *into, place centre, double radius_px, double width_px)
{
    cover_band(into, centre, fmax(radius_px - width_px / 2, 0), radius_px + width_px / 2);
}

void mask_stamp(mask *into, const unsigned char *cover, int width, int height, int left, int top)
{
    int first = left, last = left + width, upper = top, lower = top + height;
    if (!mask_touch(into, &first, &upper, &last, &lower))
        return;
    for (int y = upper; y < lower; y++) {
        unsigned char *row = into->cover + (size_t)y * (size_t)into->width_px;
        const unsigned char *from = cover + (size_t)(y - top) * (size_t)width;
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
