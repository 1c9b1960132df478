/* The places where a label may stand, and what each costs. */
#ifndef SPOTFIELD_OUTPUT_DRAW_LABEL_STANDS_H
#define SPOTFIELD_OUTPUT_DRAW_LABEL_STANDS_H

#include "output/draw/labels.h"

enum {
    STANDS_BESIDE = 16,  /* about the symbol */
    STANDS_IN_RING = 24, /* directions at each distance */
    STANDS_RINGS = 16,   /* distances of labels with a leader line */
    STANDS = STANDS_BESIDE + STANDS_RINGS * STANDS_IN_RING
};

/* What stands in the way of a label: all that may not be covered. */
enum { STAND_HARD = CROWD_SYMBOL | CROWD_LABEL | CROWD_LEADER };

/* More than any place costs where something is in the way. */
#define STAND_NEVER 1e9

/* Place 0 .. STANDS-1 of a label: first those beside its symbol, the best first, then ring by ring
 * those with a leader line. */
label_stand stand_of(const label_ground *on, const label *placed, int number);

/* On the symbol itself. */
label_stand stand_inside(const label *placed);
bool stand_fits_inside(const label_ground *on, const label *placed);

/* What it costs to stand there, in steps of the order of places beside a symbol; STAND_NEVER
 * where something is in the way. */
double stand_cost(const label_ground *on, const label *placed, const label_stand *at);

/* Whose label is in the way of a place, its index + 1; 0 where something else is, or nothing. */
size_t stand_taken_by(const label_ground *on, const label *placed, const label_stand *at);

/* Adds the label's place to the crowd, as owned by a label's index + 1. */
void stand_take(const label_ground *on, label *placed, size_t owner);

#endif
