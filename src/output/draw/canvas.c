/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The page: opening, laying pens, writing out. */
#include "output/draw/canvas.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static bool allocate_colours(canvas *opened, colour_scale *map)
{
    pen_table_fill(&opened->pens, map);
    for (int i = 0; i < opened->pens.count; i++) {
        sf_colour colour = opened->pens.colours[i];
        if (gdImageColorAllocate(opened->image, colour.red, colour.green, colour.blue) != i)
            return false;
    }
    return true;
}

sf_status canvas_open(canvas *opened, int width_px, int height_px, colour_scale *map)
{
    memset(opened, 0, sizeof *opened);
    opened->image = gdImageCreate(width_px, height_px);
    bool whole = opened->image && allocate_colours(opened, map) &&
                 mask_new(&opened->shapes, width_px, height_px) &&
                 mask_new(&opened->board, width_px, height_px);
    if (whole) {
        canvas_clip(opened, NULL);
        return SF_OK;
    }
    canvas_close(opened);
    return SF_ERROR_MEMORY;
}

void canvas_close(canvas *closed)
{
    if (closed->image)
        gdImageDestroy(closed->image);
    mask_free(&closed->shapes);
    mask_free(&closed->board);
    closed->image = NULL;
}

void canvas_clip(canvas *page, const box *within)
{
    double width = page->shapes.width_px, height = page->shapes.height_px;
    box kept = within ? *within : (box){0, 0, width, height};
    page->left = (int)fmax(floor(kept.left), 0);
    page->top = (int)fmax(floor(kept.top), 0);
    page->right = (int)fmin(ceil(kept.right), width);
    page->bottom = (int)fmin(ceil(kept.bottom), height);
}

static bool eight_are_free(const unsigned char *cover)
{
    uint64_t eight;
    memcpy(&eight, cover, sizeof eight);
    return eight == 0;
}

/* A pen on its way through the shapes. */
typedef struct laying {
    pen laid;
    int opacity;                /* of 256 */
    const unsigned char *bound; /* it keeps to these pixels; NULL: anywhere */
    unsigned char whole;        /* the pen's own colour */
} laying;

/* Lays the pen alone on a run of pixels that it covers wholly; returns the run's length. */
static int lay_whole(unsigned char *pixels, const unsigned char *cover, int most,
                     unsigned char whole)
{
    int count = 0;
    while (count < most && cover[count] == 255)
        count++;
    memset(pixels, whole, (size_t)count);
    return count;
}

/* the step of opacity with which the pen covers a pixel */
static int level_of(int cover, int bound, int opacity)
{
    int share = bound == 255 ? cover * opacity : cover * opacity * bound / 255;
    return (share * PENS_LEVELS + 255 * 256 / 2) / (255 * 256);
}

static void lay_run(canvas *page, const laying *with, int y, int left, int right)
{
    left = left > page->left ? left : page->left;
    right = right < page->right ? right : page->right;
    unsigned char *pixels = page->image->pixels[y];
    size_t start = (size_t)y * (size_t)page->shapes.width_px;
    const unsigned char *cover = page->shapes.cover + start;
    const unsigned char *bound = with->bound ? with->bound + start : NULL;
    bool solid = with->opacity == 256 && !bound;
    for (int x = left; x < right;) {
        if (cover[x] == 0) {
            x += x + 8 <= right && eight_are_free(cover + x) ? 8 : 1;
        } else if (solid && cover[x] == 255) {
            x += lay_whole(pixels + x, cover + x, right - x, with->whole);
        } else {
            int level = level_of(cover[x], bound ? bound[x] : 255, with->opacity);
            pixels[x] = pen_table_mix(&page->pens, with->laid, level, pixels[x]);
            x++;
        }
    }
}

static void lay(canvas *page, pen laid, double opacity, const unsigned char *bound)
{
    laying with = {laid, (int)(opacity * 256 + 0.5), bound,
                   pen_table_mix(&page->pens, laid, PENS_LEVELS, 0)};
    int top = page->shapes.top > page->top ? page->shapes.top : page->top;
    int bottom = page->shapes.bottom < page->bottom ? page->shapes.bottom : page->bottom;
    for (int y = top; y < bottom; y++)
        for (int left, right = 0; mask_next_run(&page->shapes, y, &left, &right);)
            lay_run(page, &with, y, left, right);
    mask_clear(&page->shapes);
}

void canvas_lay(canvas *page, pen laid, double opacity)
{
    lay(page, laid, opacity, NULL);
}

void canvas_lay_on_board(canvas *page, pen laid, double opacity)
{
    lay(page, laid, opacity, page->board.cover);
}

sf_status canvas_encode(canvas *page, int dpi, int png_level, unsigned char **png, size_t *size)
{
    int length = 0;
    gdImageSetResolution(page->image, (unsigned)dpi, (unsigned)dpi);
    void *bytes = gdImagePngPtrEx(page->image, &length, png_level);
    /* libgd may have been built with an allocator of its own: hand out one that free() knows */
    *png = bytes && length > 0 ? malloc((size_t)length) : NULL;
    if (*png) {
        memcpy(*png, bytes, (size_t)length);
        *size = (size_t)length;
    }
    if (bytes)
        gdFree(bytes);
    return *png ? SF_OK : SF_ERROR_MEMORY;
}
