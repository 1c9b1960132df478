/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Buckets of things on the map. */
#include "output/draw/spatial_index.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "output/draw/place.h"

box box_around(const place *places, size_t count)
{
    box around = {places[0].x_px, places[0].y_px, places[0].x_px, places[0].y_px};
    for (size_t i = 1; i < count; i++) {
        around.left = fmin(around.left, places[i].x_px);
        around.top = fmin(around.top, places[i].y_px);
        around.right = fmax(around.right, places[i].x_px);
        around.bottom = fmax(around.bottom, places[i].y_px);
    }
    return around;
}

/* Buckets first..last of a box, both ends included. */
typedef struct bucket_span {
    size_t left, top, right, bottom;
} bucket_span;

bool spatial_index_open(spatial_index *opened, box frame, double bucket_px)
{
    *opened = (spatial_index){.frame = frame, .bucket_px = bucket_px};
    opened->columns = (size_t)((frame.right - frame.left) / bucket_px) + 1;
    opened->rows = (size_t)((frame.bottom - frame.top) / bucket_px) + 1;
    opened->heads = array_new(opened->columns * opened->rows, sizeof *opened->heads);
    return opened->heads != NULL;
}

void spatial_index_close(spatial_index *closed)
{
    free(closed->heads);
    free(closed->entries);
    free(closed->items);
    *closed = (spatial_index){0};
}

static size_t bucket_at(double from_edge_px, double bucket_px, size_t count)
{
    return (size_t)fmin(fmax(floor(from_edge_px / bucket_px), 0), (double)count - 1);
}

static bucket_span span_of(const spatial_index *in, box where)
{
    return (bucket_span){bucket_at(where.left - in->frame.left, in->bucket_px, in->columns),
                         bucket_at(where.top - in->frame.top, in->bucket_px, in->rows),
                         bucket_at(where.right - in->frame.left, in->bucket_px, in->columns),
                         bucket_at(where.bottom - in->frame.top, in->bucket_px, in->rows)};
}

static bool add_entry(spatial_index *into, size_t bucket, size_t item)
{
    struct index_entry *made =
        array_add(&into->entries, &into->entry_count, &into->entry_capacity, sizeof *made);
    if (!made)
        return false;
    *made = (struct index_entry){item, bucket, into->heads[bucket]};
    into->heads[bucket] = into->entry_count;
    return true;
}

static bool add_entries(spatial_index *into, size_t item)
{
    bucket_span span = span_of(into, into->items[item].where);
    for (size_t row = span.top; row <= span.bottom; row++)
        for (size_t column = span.left; column <= span.right; column++)
            if (!add_entry(into, row * into->columns + column, item))
                return false;
    return true;
}

bool spatial_index_add(spatial_index *into, index_item added)
{
    index_item *made = array_add(&into->items, &into->count, &into->capacity, sizeof *made);
    if (made)
        *made = added;
    if (!made || !add_entries(into, into->count - 1))
        into->failed = true;
    return !into->failed;
}

void spatial_index_take_back(spatial_index *from, size_t count)
{
    while (from->entry_count > 0 && from->entries[from->entry_count - 1].item >= count) {
        const struct index_entry *last = &from->entries[--from->entry_count];
        from->heads[last->bucket] = last->next;
    }
    from->count = count;
}

void spatial_index_lift(spatial_index *in, size_t first, size_t count, bool lifted)
{
    for (size_t i = first; i < first + count; i++)
        in->items[i].lifted = lifted;
}

static bool circle_meets(box round, box other)
{
    place centre = box_centre(round);
    double radius_px = (round.right - round.left) / 2;
    double dx = fmax(fmax(other.left - centre.x_px, centre.x_px - other.right), 0);
    double dy = fmax(fmax(other.top - centre.y_px, centre.y_px - other.bottom), 0);
    return dx * dx + dy * dy < radius_px * radius_px;
}

/* what is inside keeps clear of the ring's line and its halo */
static bool circle_holds(box round, box other)
{
    place centre = box_centre(round);
    double radius_px = 0.84 * (round.right - round.left) / 2;
    double dx = fmax(other.right - centre.x_px, centre.x_px - other.left);
    double dy = fmax(other.bottom - centre.y_px, centre.y_px - other.top);
    return dx * dx + dy * dy < radius_px * radius_px;
}

static bool item_meets(const index_item *item, box where)
{
    if (item->lifted || !boxes_meet(item->where, where))
        return false;
    if (item->shape == INDEX_BOX)
        return true;
    return circle_meets(item->where, where) &&
           (item->shape == INDEX_DISC || !circle_holds(item->where, where));
}

/* What is asked of the things about a box, and what was found so far. */
typedef struct question {
    box where;
    unsigned kinds, enough;
    const place *but_for;
    unsigned met;
    const index_item *first; /* that was met */
} question;

static bool passed_over(const question *asked, const index_item *item)
{
    if (!asked->but_for || item->kind != INDEX_SYMBOL)
        return false;
    place centre = box_centre(item->where);
    return fabs(centre.x_px - asked->but_for->x_px) < 0.01 &&
           fabs(centre.y_px - asked->but_for->y_px) < 0.01;
}

static void ask_bucket(spatial_index *in, size_t bucket, question *asked)
{
    for (size_t next = in->heads[bucket]; next > 0 && !(asked->met & asked->enough);) {
        const struct index_entry *entry = &in->entries[next - 1];
        const index_item *item = &in->items[entry->item];
        in->looked++;
        if (item->kind & asked->kinds & ~asked->met && item_meets(item, asked->where) &&
            !passed_over(asked, item)) {
            asked->met |= item->kind;
            asked->first = asked->first ? asked->first : item;
        }
        next = entry->next;
    }
}

static void ask(spatial_index *in, question *asked)
{
    bucket_span span = span_of(in, asked->where);
    for (size_t row = span.top; row <= span.bottom; row++)
        for (size_t column = span.left; column <= span.right && !(asked->met & asked->enough);
             column++)
            ask_bucket(in, row * in->columns + column, asked);
}

unsigned spatial_index_meets(spatial_index *in, box where, unsigned kinds, unsigned enough)
{
    question asked = {.where = where, .kinds = kinds, .enough = enough};
    ask(in, &asked);
    return asked.met;
}

size_t spatial_index_owner_met(spatial_index *in, box where, unsigned kinds)
{
    question asked = {.where = where, .kinds = kinds, .enough = kinds};
    ask(in, &asked);
    return asked.first ? asked.first->owner : 0;
}

/* a stroke as a chain of boxes no longer than twice its width */
static size_t links_of(place from, place to, double width_px)
{
    double dx = to.x_px - from.x_px, dy = to.y_px - from.y_px;
    double length_px = sqrt(dx * dx + dy * dy);
    return 1 + (size_t)(length_px / width_px);
}

static box link_at(place from, place to, double width_px, size_t i, size_t links)
{
    double share = (double)i / (double)links;
    place middle = {from.x_px + share * (to.x_px - from.x_px),
                    from.y_px + share * (to.y_px - from.y_px)};
    return box_about(middle, width_px, width_px);
}

bool spatial_index_add_line(spatial_index *into, place from, place to, double width_px,
                            index_kind kind, size_t owner)
{
    size_t links = links_of(from, to, width_px);
    bool whole = true;
    for (size_t i = 0; whole && i <= links; i++)
        whole = spatial_index_add(into, (index_item){.where = link_at(from, to, width_px, i, links),
                                                     .shape = INDEX_BOX,
                                                     .kind = kind,
                                                     .owner = owner});
    return whole;
}

static void ask_along(spatial_index *in, place from, place to, double width_px, question *asked)
{
    size_t links = links_of(from, to, width_px);
    for (size_t i = 0; i <= links && !(asked->met & asked->enough); i++) {
        asked->where = link_at(from, to, width_px, i, links);
        ask(in, asked);
    }
}

unsigned spatial_index_crossed(spatial_index *in, place from, place to, double width_px,
                               unsigned kinds, unsigned enough, const place *but_for)
{
    question asked = {.kinds = kinds, .enough = enough, .but_for = but_for};
    ask_along(in, from, to, width_px, &asked);
    return asked.met;
}

size_t spatial_index_owner_crossed(spatial_index *in, place from, place to, double width_px,
                                   unsigned kinds, const place *but_for)
{
    question asked = {.kinds = kinds, .enough = kinds, .but_for = but_for};
    ask_along(in, from, to, width_px, &asked);
    return asked.first ? asked.first->owner : 0;
}

const index_item *spatial_index_symbol_at(const spatial_index *in, place at)
{
    box point = box_about(at, 0.01, 0.01);
    bucket_span span = span_of(in, point);
    for (size_t next = in->heads[span.top * in->columns + span.left]; next > 0;) {
        const struct index_entry *entry = &in->entries[next - 1];
        const index_item *item = &in->items[entry->item];
        if (item->kind == INDEX_SYMBOL && item->shape != INDEX_BOX &&
            circle_meets(item->where, point))
            return item;
        next = entry->next;
    }
    return NULL;
}
