/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The signs of the map. Each has a white halo and differs from the others in shape and fill, so
 * that it reads on every ground, in grey and for every eye. */
#ifndef SPOTFIELD_OUTPUT_DRAW_SYMBOLS_H
#define SPOTFIELD_OUTPUT_DRAW_SYMBOLS_H

#include "output/draw/canvas.h"

/* in rising order of gravity */
typedef enum part_mark {
    PART_LEAVE,   /* thin open ring */
    PART_COOLER,  /* white disc with a dark triangle, tip down */
    PART_HOTTER,  /* dark disc with a white triangle, tip up */
    PART_CHECK,   /* ring, lower half filled */
    PART_REPLACE, /* filled disc; a letter in it tells why: legend.c */
    PART_MARK_COUNT
} part_mark;

/* em_px, the height of the picture's text, sets the width of lines. */
void symbol_part(canvas *page, part_mark mark, place centre, double radius_px, double em_px);

/* The side of its spot on which a reading's mark stands. */
typedef enum notch_side {
    NOTCH_ABOVE,
    NOTCH_RIGHT,
    NOTCH_LEFT,
    NOTCH_BELOW,
    NOTCH_SIDE_COUNT
} notch_side;

/* A reading's mark: a notch whose tip is the spot. */
typedef struct notch {
    place tip;
    notch_side side;
    bool infrared; /* else a thermocouple */
    bool in_fit;
} notch;

/* A filled notch for a thermocouple, an open one for infrared, as the cone that it sees; a bar
 * across it where the reading was kept out of the fit. */
void symbol_reading(canvas *page, const notch *drawn, double em_px);

/* The corners of a notch: its tip, then its far end. */
void notch_corners(const notch *of, double em_px, place corners[3]);

/* All that is drawn of it, its halo and its bar included. */
box notch_extent(const notch *of, double em_px);

/* A frame about what is on the solder side, twice as heavy as the line of a source within it. */
void symbol_solder(canvas *page, const place corners[4], double em_px);

/* A hatched rectangle; dashed where nobody listed it. Drawn on the board alone when on_board. */
void symbol_source(canvas *page, const place corners[4], bool listed, double em_px);

/* An outline in dashes and dots, its upper left corner hatched. */
void symbol_keepout(canvas *page, const place *corners, size_t count, double em_px);

/* A white disc in a heavy ring, to write a number on. */
void symbol_point(canvas *page, place centre, double em_px);

/* The place itself, where its number stands beside it; and the line from the number to it, or to
 * the edge of the can, reach_px from its middle. */
void symbol_spot(canvas *page, place centre, double em_px);
void symbol_point_line(canvas *page, place number, place of, double reach_px, double em_px);

/* Smallest radius of a part, and the size of a reading's notch, in ems. */
#define PART_RADIUS_MIN 0.42
#define NOTCH_LENGTH 0.95
#define NOTCH_WIDTH 0.62
#define SOLDER_READING 0.32 /* half of the square about the tip of a reading there */
#define SOLDER_MARGIN 0.36  /* from a part or source there to its frame */
#define POINT_RADIUS 0.72   /* of a place to read next */
#define SPOT_RADIUS 0.24    /* of one whose number stands beside it */

#endif
