/* What stands where on the map, so that labels find free room. */
#ifndef SPOTFIELD_OUTPUT_DRAW_CROWD_H
#define SPOTFIELD_OUTPUT_DRAW_CROWD_H

#include <stdbool.h>
#include <stddef.h>

#include "output/draw/place.h"

/* What a thing is, as bits of a set. */
typedef enum crowd_kind {
    CROWD_SYMBOL = 1, /* a part or a reading */
    CROWD_LABEL = 2,
    CROWD_LEADER = 4, /* a line from a symbol to its label */
    CROWD_SOURCE = 8, /* hatched ground: labels stand there only where nothing else is free */
    CROWD_EDGE = 16,  /* of a no-touch area */
    CROWD_ALL = 31
} crowd_kind;

typedef enum crowd_shape {
    CROWD_BOX,
    CROWD_DISC, /* the circle in the box */
    CROWD_RING  /* the same, but what lies wholly inside it is free */
} crowd_shape;

/* What may be set elsewhere, a label with its leader, has an owner; 0 where nothing may. */
typedef struct crowd_item {
    box where;
    crowd_shape shape;
    crowd_kind kind;
    size_t owner;
    bool lifted; /* in nobody's way for now */
} crowd_item;

/* Things in square buckets, each in every bucket that it touches. */
typedef struct crowd {
    box frame;
    double bucket_px;
    size_t columns, rows;
    size_t *heads; /* per bucket, its newest entry, one more than the index; 0 none */
    struct crowd_entry {
        size_t item, bucket, next;
    } * entries;
    size_t entry_count, entry_capacity;
    crowd_item *items;
    size_t count, capacity;
    size_t looked; /* things that questions have looked at so far: the work of a search */
    bool failed;   /* memory was short */
} crowd;

/* false when memory is short; freed with crowd_close. */
bool crowd_open(crowd *opened, box frame, double bucket_px);
void crowd_close(crowd *closed);

/* false when memory is short; the crowd remembers it. */
bool crowd_add(crowd *into, crowd_item added);

/* Adds the box about a stroke piece by piece. */
bool crowd_add_line(crowd *into, place from, place to, double width_px, crowd_kind kind,
                    size_t owner);

/* Forgets all that was added since the crowd had so many things. */
void crowd_take_back(crowd *from, size_t count);

/* Takes things first..first+count-1 out of the way, or puts them back. */
void crowd_lift(crowd *in, size_t first, size_t count, bool lifted);

/* Which of a set of kinds a box meets. Stops at the first that is in `enough`. */
unsigned crowd_meets(crowd *in, box where, unsigned kinds, unsigned enough);

/* The same of a stroke. Symbols about the place *but_for are passed over; NULL for none. */
unsigned crowd_crossed(crowd *in, place from, place to, double width_px, unsigned kinds,
                       unsigned enough, const place *but_for);

/* Whose the first thing of a set of kinds is that a box, or a stroke, meets; 0 where nothing is
 * met, or what nobody owns. */
size_t crowd_owner_met(crowd *in, box where, unsigned kinds);
size_t crowd_owner_crossed(crowd *in, place from, place to, double width_px, unsigned kinds,
                           const place *but_for);

/* The round symbol that holds a place; NULL where none does. */
const crowd_item *crowd_symbol_at(const crowd *in, place at);

#endif
