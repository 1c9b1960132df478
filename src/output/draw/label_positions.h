/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The places where a label may stand, and what each costs. */
#ifndef SPOTFIELD_OUTPUT_DRAW_LABEL_POSITIONS_H
#define SPOTFIELD_OUTPUT_DRAW_LABEL_POSITIONS_H

#include "output/draw/labels.h"

enum {
    POSITION_BESIDE = 16,  /* about the symbol */
    POSITION_IN_RING = 24, /* directions at each distance */
    POSITION_RINGS = 16,   /* distances of labels with a leader line */
    POSITIONS = POSITION_BESIDE + POSITION_RINGS * POSITION_IN_RING
};

/* What stands in the way of a label: all that may not be covered. */
enum { POSITION_HARD = INDEX_SYMBOL | INDEX_LABEL | INDEX_LEADER };

/* More than any place costs where something is in the way. */
#define POSITION_NEVER 1e9

/* Place 0 .. POSITIONS-1 of a label: first those beside its symbol, the best first, then ring by
 * ring those with a leader line. */
label_position position_of(const label_ground *on, const label *placed, int number);

/* On the symbol itself. */
label_position position_inside(const label *placed);
bool position_fits_inside(const label_ground *on, const label *placed);

/* What it costs to stand there, in steps of the order of places beside a symbol; POSITION_NEVER
 * where something is in the way. */
double position_cost(const label_ground *on, const label *placed, const label_position *at);

/* Whose label is in the way of a place, its index + 1; 0 where something else is, or nothing. */
size_t position_taken_by(const label_ground *on, const label *placed, const label_position *at);

/* Adds the label's place to the spatial index, as owned by a label's index + 1. */
void position_take(const label_ground *on, label *placed, size_t owner);

#endif
