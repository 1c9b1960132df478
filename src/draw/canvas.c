/* The page: opening, laying ink, writing out. */
#include "draw/canvas.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static bool allocate_colours(canvas *opened)
{
    ink_table_fill(&opened->inks);
    for (int i = 0; i < opened->inks.count; i++) {
        sf_colour colour = opened->inks.colours[i];
        if (gdImageColorAllocate(opened->image, colour.red, colour.green, colour.blue) != i)
            return false;
    }
    return true;
}

sf_status canvas_open(canvas *opened, int width_px, int height_px)
{
    memset(opened, 0, sizeof *opened);
    opened->image = gdImageCreate(width_px, height_px);
    bool whole = opened->image && allocate_colours(opened) &&
                 mask_new(&opened->shapes, width_px, height_px) &&
                 mask_new(&opened->board, width_px, height_px);
    if (whole)
        return SF_OK;
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

static bool eight_are_free(const unsigned char *cover)
{
    uint64_t eight;
    memcpy(&eight, cover, sizeof eight);
    return eight == 0;
}

static void lay_row(canvas *page, ink laid, int opacity, int y, const unsigned char *bound)
{
    unsigned char *pixels = page->image->pixels[y];
    size_t start = (size_t)y * (size_t)page->shapes.width_px;
    const unsigned char *cover = page->shapes.cover + start;
    for (int x = page->shapes.left; x < page->shapes.right; x++) {
        if (x + 8 <= page->shapes.right && eight_are_free(cover + x)) {
            x += 7;
            continue;
        }
        int level = cover[x] * opacity;
        if (bound)
            level = level * bound[start + (size_t)x] / 255;
        level = (level + 128 * 255 / INKS_LEVELS) / (256 * 255 / INKS_LEVELS);
        if (level > 0)
            pixels[x] = ink_table_mix(&page->inks, laid, level, pixels[x]);
    }
}

static void lay(canvas *page, ink laid, double opacity, const unsigned char *bound)
{
    int whole = (int)(opacity * 256 + 0.5);
    for (int y = page->shapes.top; y < page->shapes.bottom; y++)
        lay_row(page, laid, whole, y, bound);
    mask_clear(&page->shapes);
}

void canvas_lay(canvas *page, ink laid, double opacity)
{
    lay(page, laid, opacity, NULL);
}

void canvas_lay_on_board(canvas *page, ink laid, double opacity)
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
