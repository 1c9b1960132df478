/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Isotherms and zone edges with their value written along them. */
#ifndef SPOTFIELD_OUTPUT_DRAW_ISOTHERMS_H
#define SPOTFIELD_OUTPUT_DRAW_ISOTHERMS_H

#include "output/draw/canvas.h"
#include "output/draw/contours.h"
#include "output/draw/font.h"
#include "output/draw/scale.h"
#include "output/draw/spatial_index.h"
#include "output/draw/text_lines.h"

/* How the lines of one level are drawn. */
typedef struct line_look {
    double level;
    double width_px;
    double halo_px; /* 0: none */
    pen laid;
    text_style style;
    char words[SCALE_TEXT];
} line_look;

/* Words along a line, and the gap in the line that they stand in. */
typedef struct line_words {
    const line_look *look;
    size_t line;           /* in the set */
    double from_px, to_px; /* gap, measured along the line */
    place start;           /* of the base line */
    int angle_deg;
    bool hatched; /* on a source: they need a halo */
} line_words;

typedef struct isotherms {
    contours lines;
    line_look *looks;
    size_t look_count;
    line_words *words;
    size_t word_count, word_capacity;
} isotherms;

/* Finds the lines of each look (the array is copied). On SF_OK freed with isotherms_free. */
sf_status isotherms_trace(const lattice *on, const line_look *looks, size_t look_count,
                          isotherms *made);
void isotherms_free(isotherms *freed);

/* Finds a straight, free stretch of each line that is long enough, on the board, for its words;
 * long lines get two or three. Adds them to the spatial_index. SF_ERROR_MEMORY. */
sf_status isotherms_place_words(isotherms *in, font *face, spatial_index *taken, const mask *board,
                                double em_px);

/* Draws lines on the board, then their words. */
void isotherms_draw_lines(canvas *page, const isotherms *drawn);
void isotherms_draw_words(canvas *page, font *face, const isotherms *drawn);

#endif
