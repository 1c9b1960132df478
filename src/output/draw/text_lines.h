/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lines of text on the page. */
#ifndef SPOTFIELD_OUTPUT_DRAW_TEXT_LINES_H
#define SPOTFIELD_OUTPUT_DRAW_TEXT_LINES_H

#include "output/draw/canvas.h"
#include "output/draw/font.h"

typedef struct text_style {
    double size_px; /* height of the em */
    bool bold;
    pen laid;
    double halo_px; /* 0: none */
    pen halo;
} text_style;

/* Height of a capital and of a digit, and depth of a tail, in shares of the em. */
#define CAPITAL_HEIGHT 0.73
#define TAIL_DEPTH 0.24

/* Width of UTF-8 text in pixels. Bytes that are no UTF-8 count as question marks. */
double words_width(font *face, const text_style *style, const char *words);

/* Writes from a place on the base line, turned anticlockwise by angle_deg. */
void words_draw(canvas *page, font *face, const text_style *style, place start, int angle_deg,
                const char *words);

/* Writes level text centred on a place, by the height of its capitals. */
void words_draw_centred(canvas *page, font *face, const text_style *style, place centre,
                        const char *words);

/* Copies as much of `words` as fits into width_px, ended by three dots where it was cut, and never
 * more than size - 1 bytes (size at least 4). */
void words_fit(font *face, const text_style *style, const char *words, double width_px,
               char *fitted, size_t size);

#endif
