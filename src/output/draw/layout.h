/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where the parts of the picture lie: title above, the board to scale with its axes, the scale of
 * its values below it, the legend beside both, or below where the picture is small or the board
 * wide. */
#ifndef SPOTFIELD_OUTPUT_DRAW_LAYOUT_H
#define SPOTFIELD_OUTPUT_DRAW_LAYOUT_H

#include <stddef.h>

#include "output/draw/place.h"
#include "spotfield/draw.h"

/* How far things stand out over each side of the board. */
typedef struct overhang {
    double left_mm, right_mm, top_mm, bottom_mm;
} overhang;

/* What the page has to hold. */
typedef struct layout_needs {
    int width_px;
    double board_width_mm, board_height_mm;
    overhang over;
    size_t title_lines;
    size_t legend_entries;
    double legend_width_px; /* of the widest entry, its sign included */
} layout_needs;

typedef struct layout {
    double em_px; /* height of plain text: what all else is measured in */
    sf_picture_frame frame;
    box title;
    box board; /* the board's rectangle */
    box plot;  /* where symbols and labels may stand */
    box scale; /* room of the strip of colours with its words */
    box strip; /* the colours themselves */
    box legend;
    size_t legend_columns;
    box scale_bar; /* room of the scale bar, its numbers included */
    box footer;
} layout;

layout layout_make(const layout_needs *needs);

/* The em of a picture: a share of its width, but never too small to be read. */
double layout_em(int width_px);

/* Height of a legend entry, in ems. */
#define LEGEND_LINE 1.6

/* Two rows of words stand above the strip of colours, each so high, in ems, and a rail below them;
 * numbers and what they count stand below it. */
#define SCALE_ROW 1.5
#define SCALE_RAIL 0.75
#define SCALE_NUMBERS 1.55

#endif
