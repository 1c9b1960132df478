/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What stands where on the map, so that labels find free room. */
#ifndef SPOTFIELD_OUTPUT_DRAW_SPATIAL_INDEX_H
#define SPOTFIELD_OUTPUT_DRAW_SPATIAL_INDEX_H

#include <stdbool.h>
#include <stddef.h>

#include "output/draw/place.h"

/* What a thing is, as bits of a set. */
typedef enum index_kind {
    INDEX_SYMBOL = 1, /* a part or a reading */
    INDEX_LABEL = 2,
    INDEX_LEADER = 4, /* a line from a symbol to its label */
    INDEX_SOURCE = 8, /* hatched ground: labels stand there only where nothing else is free */
    INDEX_EDGE = 16,  /* of a no-touch area */
    INDEX_ALL = 31
} index_kind;

typedef enum index_shape {
    INDEX_BOX,
    INDEX_DISC, /* the circle in the box */
    INDEX_RING  /* the same, but what lies wholly inside it is free */
} index_shape;

/* What may be set elsewhere, a label with its leader, has an owner; 0 where nothing may. */
typedef struct index_item {
    box where;
    index_shape shape;
    index_kind kind;
    size_t owner;
    bool lifted; /* in nobody's way for now */
} index_item;

/* Things in square buckets, each in every bucket that it touches. */
typedef struct spatial_index {
    box frame;
    double bucket_px;
    size_t columns, rows;
    size_t *heads; /* per bucket, its newest entry, one more than the index; 0 none */
    struct index_entry {
        size_t item, bucket, next;
    } * entries;
    size_t entry_count, entry_capacity;
    index_item *items;
    size_t count, capacity;
    size_t looked; /* things that questions have looked at so far: the work of a search */
    bool failed;   /* memory was short */
} spatial_index;

/* false when memory is short; freed with spatial_index_close. */
bool spatial_index_open(spatial_index *opened, box frame, double bucket_px);
void spatial_index_close(spatial_index *closed);

/* false when memory is short; the index remembers it. */
bool spatial_index_add(spatial_index *into, index_item added);

/* Adds the box about a stroke piece by piece. */
bool spatial_index_add_line(spatial_index *into, place from, place to, double width_px,
                            index_kind kind, size_t owner);

/* Forgets all that was added since the index had so many things. */
void spatial_index_take_back(spatial_index *from, size_t count);

/* Takes things first..first+count-1 out of the way, or puts them back. */
void spatial_index_lift(spatial_index *in, size_t first, size_t count, bool lifted);

/* Which of a set of kinds a box meets. Stops at the first that is in `enough`. */
unsigned spatial_index_meets(spatial_index *in, box where, unsigned kinds, unsigned enough);

/* The same of a stroke. Symbols about the place *but_for are passed over; NULL for none. */
unsigned spatial_index_crossed(spatial_index *in, place from, place to, double width_px,
                               unsigned kinds, unsigned enough, const place *but_for);

/* Whose the first thing of a set of kinds is that a box, or a stroke, meets; 0 where nothing is
 * met, or what nobody owns. */
size_t spatial_index_owner_met(spatial_index *in, box where, unsigned kinds);
size_t spatial_index_owner_crossed(spatial_index *in, place from, place to, double width_px,
                                   unsigned kinds, const place *but_for);

/* The round symbol that holds a place; NULL where none does. */
const index_item *spatial_index_symbol_at(const spatial_index *in, place at);

#endif
