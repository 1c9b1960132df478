/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The two sources of letters behind font.h: a FreeType face, or libgd's bitmap fonts. */
#ifndef SPOTFIELD_OUTPUT_DRAW_FONT_FACES_H
#define SPOTFIELD_OUTPUT_DRAW_FONT_FACES_H

#include <ft2build.h>
#include <stdbool.h>
#include FT_FREETYPE_H

#include "output/draw/font.h"
#include "spotfield/status.h"

/* Zeroed: bitmap letters. */
typedef struct font_face {
    FT_Library library;
    FT_Face face;     /* NULL: bitmap letters */
    int size_eighths; /* the face is set to */
} font_face;

/* SF_ERROR_ARGUMENT where the file is no font FreeType reads, *face is left zeroed. */
sf_status font_face_open(font_face *face, const char *path);
void font_face_close(font_face *face);

/* Draws a letter without its halo, its cover freed with free(); false when memory is short. */
bool font_face_draw(font_face *face, const glyph_key *key, glyph *drawn);

/* The same from the bitmap fonts. */
bool bitmap_draw(const glyph_key *key, glyph *drawn);

double font_face_kerning(const font_face *face, unsigned before, unsigned codepoint);

#endif
