/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Letters from libgd's built-in bitmap fonts, for machines without a TrueType file: plain ASCII
 * and the degree sign, enlarged by whole numbers. */
#include <gdfontg.h>
#include <gdfonts.h>
#include <gdfontt.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "output/draw/font_faces.h"

/* a line of bitmap letters is about this many times their em */
static const double line_height = 1.2;
/* of a cell, how much lies above the base line */
static const double base_share = 0.78;

/* A bitmap font and its enlargement. */
typedef struct bitmap_choice {
    gdFontPtr cells;
    int scale;
} bitmap_choice;

static bitmap_choice choose(double size_px)
{
    gdFontPtr fonts[] = {gdFontGetTiny(), gdFontGetSmall(), gdFontGetGiant()};
    bitmap_choice best = {fonts[0], 1};
    double least = INFINITY, wanted = size_px * line_height;
    for (int i = 0; i < 3; i++) {
        int scale = (int)fmax(1, round(wanted / fonts[i]->h));
        double off = fabs(scale * fonts[i]->h - wanted);
        if (off < least) {
            least = off;
            best = (bitmap_choice){fonts[i], scale};
        }
    }
    return best;
}

/* the fonts are coded in ISO 8859-2: of what lies beyond ASCII only the degree sign is ours */
static int cell_of(const gdFont *cells, unsigned codepoint)
{
    unsigned known = codepoint < 127 || codepoint == 0xB0 ? codepoint : '?';
    int cell = (int)known - cells->offset;
    return cell >= 0 && cell < cells->nchars ? cell : '?' - cells->offset;
}

/* Whether the pixel of the turned, enlarged letter whose middle lies (x, y) from the pen is set. */
static bool is_set(bitmap_choice choice, int cell, double x, double y, double angle)
{
    const gdFont *cells = choice.cells;
    double along = x * cos(angle) - y * sin(angle), down = x * sin(angle) + y * cos(angle);
    int column = (int)floor(along / choice.scale);
    int row = (int)floor((down + base_share * cells->h * choice.scale) / choice.scale);
    if (column < 0 || column >= cells->w || row < 0 || row >= cells->h)
        return false;
    return cells->data[(cell * cells->h + row) * cells->w + column] != 0;
}

/* the square about the pen that holds the letter at any turn */
static int reach_of(bitmap_choice choice)
{
    return (int)ceil(hypot(choice.cells->w, choice.cells->h) * choice.scale);
}

bool bitmap_draw(const glyph_key *key, glyph *drawn)
{
    bitmap_choice choice = choose(key->size_eighths / 8.0);
    int cell = cell_of(choice.cells, key->codepoint), reach = reach_of(choice);
    double angle = key->angle_deg * acos(-1) / 180;
    *drawn = (glyph){.left = -reach, .top = -reach, .width = 2 * reach, .height = 2 * reach};
    drawn->advance_px = choice.cells->w * choice.scale;
    drawn->cover = array_new((size_t)drawn->width, (size_t)drawn->height);
    if (!drawn->cover)
        return false;
    for (int y = 0; y < drawn->height; y++)
        for (int x = 0; x < drawn->width; x++)
            if (is_set(choice, cell, x + 0.5 - reach, y + 0.5 - reach, angle))
                drawn->cover[y * drawn->width + x] = 255;
    return true;
}
