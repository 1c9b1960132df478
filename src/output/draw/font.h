/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Letters as small pictures of coverage: from a TrueType file through FreeType, or from libgd's
 * built-in bitmap fonts where there is none. Every letter drawn is kept for the next time. */
#ifndef SPOTFIELD_OUTPUT_DRAW_FONT_H
#define SPOTFIELD_OUTPUT_DRAW_FONT_H

#include <stdbool.h>

#include "spotfield/status.h"

/* Which letter, and how: what tells one kept picture from another. */
typedef struct glyph_key {
    unsigned codepoint;
    int size_eighths;     /* height of the em, pixels / 8 */
    int halo_eighths;     /* grown by so much all round, pixels / 8 */
    int angle_deg;        /* turned anticlockwise */
    int shift_x, shift_y; /* of its origin inside a pixel, right and down, pixels / 2 */
    bool bold;
} glyph_key;

typedef struct glyph {
    int left, top; /* upper left corner of its picture from the pen, pixels right and down */
    int width, height;
    unsigned char *cover; /* NULL where nothing is to be seen, such as a blank */
    double advance_px;    /* of the pen, along the line */
} glyph;

typedef struct font font;

/* Opens a TrueType file; path NULL: DejaVu Sans where it is installed, else bitmap letters.
 * On SF_OK freed with font_close. SF_ERROR_ARGUMENT where path cannot be read as a font,
 * SF_ERROR_MEMORY. */
sf_status font_open(const char *path, font **opened);
void font_close(font *closed);

/* Opens the bitmap letters. SF_ERROR_MEMORY. */
sf_status font_open_bitmap(font **opened);

/* The letter, good until the next call; NULL when memory is short. */
const glyph *font_glyph(font *from, const glyph_key *key);

/* Whether a letter could not be had since the font was opened: widths and pictures lack it. */
bool font_failed(const font *asked);

/* How far a letter moves towards the one before it, in shares of the em; 0 for bitmap letters. */
double font_kerning(font *from, unsigned before, unsigned codepoint);

#endif
