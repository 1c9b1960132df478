/* Buckets of things on the map. */
#include "draw/crowd.h"

#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

/* Buckets first..last of a box, both ends included. */
typedef struct bucket_span {
    size_t left, top, right, bottom;
} bucket_span;

bool crowd_open(crowd *opened, box frame, double bucket_px)
{
    *opened = (crowd){.frame = frame, .bucket_px = bucket_px};
    opened->columns = (size_t)((frame.right - frame.left) / bucket_px) + 1;
    opened->rows = (size_t)((frame.bottom - frame.top) / bucket_px) + 1;
    opened->heads = array_new(opened->columns * opened->rows, sizeof *opened->heads);
    return opened->heads != NULL;
}

void crowd_close(crowd *closed)
{
    free(closed->heads);
    free(closed->entries);
    free(closed->items);
    *closed = (crowd){0};
}

static size_t bucket_at(double from_edge_px, double bucket_px, size_t count)
{
    return (size_t)fmin(fmax(floor(from_edge_px / bucket_px), 0), (double)count - 1);
}

static bucket_span span_of(const crowd *in, box where)
{
    return (bucket_span){bucket_at(where.left - in->frame.left, in->bucket_px, in->columns),
                         bucket_at(where.top - in->frame.top, in->bucket_px, in->rows),
                         bucket_at(where.right - in->frame.left, in->bucket_px, in->columns),
                         bucket_at(where.bottom - in->frame.top, in->bucket_px, in->rows)};
}

static bool add_entry(crowd *into, size_t bucket, size_t item)
{
    struct crowd_entry *grown =
        array_grow(into->entries, &into->entry_capacity, into->entry_count + 1, sizeof *grown);
    if (!grown)
        return false;
    into->entries = grown;
    grown[into->entry_count++] = (struct crowd_entry){item, into->heads[bucket]};
    into->heads[bucket] = into->entry_count;
    return true;
}

bool crowd_add(crowd *into, crowd_item added)
{
    crowd_item *grown = array_grow(into->items, &into->capacity, into->count + 1, sizeof *grown);
    if (!grown)
        return false;
    into->items = grown;
    grown[into->count] = added;
    bucket_span span = span_of(into, added.where);
    for (size_t row = span.top; row <= span.bottom; row++)
        for (size_t column = span.left; column <= span.right; column++)
            if (!add_entry(into, row * into->columns + column, into->count))
                return false;
    into->count++;
    return true;
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

static bool item_meets(const crowd_item *item, box where)
{
    if (!boxes_meet(item->where, where))
        return false;
    if (item->shape == CROWD_BOX)
        return true;
    return circle_meets(item->where, where) &&
           (item->shape == CROWD_DISC || !circle_holds(item->where, where));
}

static unsigned bucket_meets(const crowd *in, size_t bucket, box where, unsigned kinds,
                             unsigned enough)
{
    unsigned met = 0;
    for (size_t next = in->heads[bucket]; next > 0 && !(met & enough);) {
        const struct crowd_entry *entry = &in->entries[next - 1];
        const crowd_item *item = &in->items[entry->item];
        if (item->kind & kinds & ~met && item_meets(item, where))
            met |= item->kind;
        next = entry->next;
    }
    return met;
}

unsigned crowd_meets(const crowd *in, box where, unsigned kinds, unsigned enough)
{
    unsigned met = 0;
    bucket_span span = span_of(in, where);
    for (size_t row = span.top; row <= span.bottom; row++)
        for (size_t column = span.left; column <= span.right && !(met & enough); column++)
            met |= bucket_meets(in, row * in->columns + column, where, kinds, enough);
    return met;
}

/* a stroke as a chain of boxes no longer than twice its width */
static size_t links_of(place from, place to, double width_px)
{
    double length_px = hypot(to.x_px - from.x_px, to.y_px - from.y_px);
    return 1 + (size_t)(length_px / width_px);
}

static box link_at(place from, place to, double width_px, size_t i, size_t links)
{
    double share = (double)i / (double)links;
    place middle = {from.x_px + share * (to.x_px - from.x_px),
                    from.y_px + share * (to.y_px - from.y_px)};
    return box_about(middle, width_px, width_px);
}

bool crowd_add_line(crowd *into, place from, place to, double width_px, crowd_kind kind)
{
    size_t links = links_of(from, to, width_px);
    bool whole = true;
    for (size_t i = 0; whole && i <= links; i++)
        whole =
            crowd_add(into, (crowd_item){link_at(from, to, width_px, i, links), CROWD_BOX, kind});
    return whole;
}

unsigned crowd_crossed(const crowd *in, place from, place to, double width_px, unsigned kinds)
{
    size_t links = links_of(from, to, width_px);
    unsigned met = 0;
    for (size_t i = 0; i <= links; i++)
        met |= crowd_meets(in, link_at(from, to, width_px, i, links), kinds & ~met, 0);
    return met;
}

const crowd_item *crowd_symbol_at(const crowd *in, place at)
{
    box point = box_about(at, 0.01, 0.01);
    bucket_span span = span_of(in, point);
    for (size_t next = in->heads[span.top * in->columns + span.left]; next > 0;) {
        const struct crowd_entry *entry = &in->entries[next - 1];
        const crowd_item *item = &in->items[entry->item];
        if (item->kind == CROWD_SYMBOL && item->shape != CROWD_BOX &&
            circle_meets(item->where, point))
            return item;
        next = entry->next;
    }
    return NULL;
}
