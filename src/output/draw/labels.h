/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finding a place for each label: beside its symbol where room is free, else further off with a
 * leader line, else where another label can make room, else in smaller type, else none. No two
 * labels meet and none leaves the frame. */
#ifndef SPOTFIELD_OUTPUT_DRAW_LABELS_H
#define SPOTFIELD_OUTPUT_DRAW_LABELS_H

#include <stdbool.h>
#include <stddef.h>

#include "output/draw/mask.h"
#include "output/draw/spatial_index.h"
#include "output/draw/text_lines.h"

/* Where a label stands. */
typedef struct label_position {
    box where;
    bool led; /* away from its symbol, with a line to it */
    place lead_from, lead_to;
} label_position;

/* The sides of a symbol, the usual best first. */
typedef enum label_side { LABEL_RIGHT, LABEL_LEFT, LABEL_ABOVE, LABEL_BELOW } label_side;

typedef struct label {
    char words[40];
    text_style style;
    place anchor;                  /* middle of the symbol it names */
    double reach_x_px, reach_y_px; /* half the symbol's width and height */
    bool round;                    /* the symbol is a circle */
    label_side side;               /* of the symbol, where it stands best */
    bool may_stand_inside;         /* on the symbol itself, where it is large enough */
    bool may_lead;                 /* away from it with a leader line */
    bool keeps_size;               /* that of a sign about the words */
    bool keeps_off_edges;          /* never across the edge of the board or of a no-touch area */
    double width_px, height_px;    /* of the words, with a little air */

    bool placed; /* found from here on */
    label_position at;
    size_t first_taken, taken_count; /* its things in the spatial index */
} label;

/* A symbol and its words, measured. */
label label_make(font *face, const text_style *style, place anchor, double reach_x_px,
                 double reach_y_px, const char *words);

/* Where labels may stand. */
typedef struct label_ground {
    spatial_index *taken;
    const mask *board; /* labels half on and half off the board are avoided */
    font *face;
    double em_px;
} label_ground;

/* Places labels first..count-1 in the order given, first come first served, those that need a
 * leader line after those that need none, and adds each to the spatial index. Labels before them
 * may be moved to make room, but none loses its place. false when memory is short. */
bool labels_place(const label_ground *on, label *labels, size_t first, size_t count);

/* Writes the labels placed, leader lines first. */
void labels_draw(canvas *page, font *face, const label *labels, size_t count, double em_px);

#endif
