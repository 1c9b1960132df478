/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The 256 colours of a picture: paper, the map's scale, pens, and what lies between them, so that
 * smooth edges find a colour close to the one they need. */
#ifndef SPOTFIELD_OUTPUT_DRAW_PENS_H
#define SPOTFIELD_OUTPUT_DRAW_PENS_H

#include "spotfield/draw.h"

typedef enum pen {
    PEN_PAPER, /* white: page and halos */
    PEN_DARK,  /* text, marks, lines on light ground */
    PEN_GREY,  /* axes and second-rank text */
    PEN_PALE,  /* rules */
    PEN_ALERT, /* the mark of a part to replace */
    PEN_COUNT
} pen;

enum {
    PENS_COLOURS = 256,
    PENS_MAP_FIRST = 1, /* colour 0 is paper, which a new picture is full of */
    PENS_MAP_COLOURS = 160,
    PENS_LEVELS = 16 /* steps of opacity from nothing to whole */
};

typedef struct pen_table {
    sf_colour colours[PENS_COLOURS];
    int count;
    int keys[PENS_COLOURS];            /* brightness of each colour, rising */
    unsigned char order[PENS_COLOURS]; /* the colours in that order */
    /* colour of a pen at a level over each colour, one more than the index; 0: not looked up yet */
    unsigned short mixes[PEN_COUNT][PENS_LEVELS + 1][PENS_COLOURS];
} pen_table;

extern const sf_colour pen_colours[PEN_COUNT];

/* A scale of colours from share 0 to 1, such as sf_palette_colour. */
typedef sf_colour colour_scale(double share);

/* Fills a table around the colours of a map. */
void pen_table_fill(pen_table *table, colour_scale *map);

/* Finds a mix that is not known yet, and keeps it. */
unsigned char pen_table_find(pen_table *table, pen laid, int level, unsigned char under);

/* Index of the colour nearest to `laid` at level (0 to PENS_LEVELS) over the colour `under`. */
static inline unsigned char pen_table_mix(pen_table *table, pen laid, int level,
                                          unsigned char under)
{
    unsigned short known = table->mixes[laid][level][under];
    return known > 0 ? (unsigned char)(known - 1) : pen_table_find(table, laid, level, under);
}

/* Index of the map colour at a share of the scale, held at its ends. */
unsigned char pen_map_index(double share);

/* The pen, dark or paper, that reads better on a colour of a map. */
pen pen_over_map(colour_scale *map, double share);

#endif
