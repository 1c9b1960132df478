/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Trying places for labels, and writing them. */
#include "output/draw/labels.h"

#include <math.h>

#include "output/draw/label_positions.h"

/* A label asks so many others to make room before it gives up. */
enum { MOVES_TRIED = 48 };

/* So many things are looked at before labels that have no free place beside their symbol are given
 * up: seconds of work. Boards with room for their names need a hundredth (label_census). */
#define LOOKED_MOST 30000000u

/* smaller type before no name at all, but none that cannot be read: by eye, no source */
static const double smaller = 0.8, least_type_px = 7, least_type_ems = 0.4;

label label_make(font *face, const text_style *style, place anchor, double reach_x_px,
                 double reach_y_px, const char *words)
{
    label made = {.style = *style,
                  .anchor = anchor,
                  .reach_x_px = reach_x_px,
                  .reach_y_px = reach_y_px,
                  .may_lead = true};
    words_fit(face, style, words, 14 * style->size_px, made.words, sizeof made.words);
    made.width_px = words_width(face, style, made.words) + 0.3 * style->size_px;
    made.height_px = (CAPITAL_HEIGHT + 0.28) * style->size_px;
    return made;
}

/* the cheapest of places first..last-1, earlier ones before later ones; false where none is free */
static bool try_stands(const label_ground *on, label *placed, int first, int last)
{
    double least = POSITION_NEVER;
    for (int i = first; i < last; i++) {
        label_position at = position_of(on, placed, i);
        double cost = position_cost(on, placed, &at);
        /* directions of a ring are alike */
        cost += i < POSITION_BESIDE ? i : 0;
        if (cost < least) {
            least = cost;
            placed->at = at;
        }
    }
    return least < POSITION_NEVER;
}

static bool gives_up(const label_ground *on)
{
    return on->taken->failed || on->taken->looked > LOOKED_MOST;
}

static bool try_leader(const label_ground *on, label *placed)
{
    for (int ring = 0; placed->may_lead && !gives_up(on) && ring < POSITION_RINGS; ring++) {
        int first = POSITION_BESIDE + ring * POSITION_IN_RING;
        if (try_stands(on, placed, first, first + POSITION_IN_RING))
            return true;
    }
    return false;
}

/* the name of a reading keeps clear of the whole can that holds it; false where none does */
static bool position_clear(const label_ground *on, label *placed)
{
    const index_item *symbol = spatial_index_symbol_at(on->taken, placed->anchor);
    if (!symbol)
        return false;
    double reach_px = (symbol->where.right - symbol->where.left) / 2;
    if (reach_px <= placed->reach_x_px)
        return false;
    placed->anchor = box_centre(symbol->where);
    placed->reach_x_px = placed->reach_y_px = reach_px;
    placed->round = true;
    return true;
}

static bool try_close(const label_ground *on, label *placed)
{
    if (position_fits_inside(on, placed)) {
        placed->at = position_inside(placed);
        return true;
    }
    return try_stands(on, placed, 0, POSITION_BESIDE) ||
           (position_clear(on, placed) && try_stands(on, placed, 0, POSITION_BESIDE));
}

/* notes in the spatial index a place that was found */
static void settle(const label_ground *on, label *labels, size_t which, bool found)
{
    labels[which].placed = found;
    if (found)
        position_take(on, &labels[which], which + 1);
}

/* one label takes a place, and the other that stood there finds another; else all is as before */
static bool displace(const label_ground *on, label *labels, size_t which, label_position at,
                     size_t other)
{
    label before = labels[other];
    size_t taken_before = on->taken->count;
    spatial_index_lift(on->taken, before.first_taken, before.taken_count, true);
    if (position_cost(on, &labels[which], &at) < POSITION_NEVER) {
        labels[which].at = at;
        settle(on, labels, which, true);
        if (try_close(on, &labels[other]) || try_leader(on, &labels[other])) {
            settle(on, labels, other, true);
            return true;
        }
        labels[which].placed = false;
        spatial_index_take_back(on->taken, taken_before);
        labels[other] = before;
    }
    spatial_index_lift(on->taken, before.first_taken, before.taken_count, false);
    return false;
}

/* asks those in the way to stand elsewhere, nearest places first */
static bool make_room(const label_ground *on, label *labels, size_t which)
{
    int tried = 0;
    for (int i = 0; i < POSITIONS && tried < MOVES_TRIED && !gives_up(on); i++) {
        label_position at = position_of(on, &labels[which], i);
        size_t owner = position_taken_by(on, &labels[which], &at);
        tried += owner > 0;
        if (owner > 0 && displace(on, labels, which, at, owner - 1))
            return true;
    }
    return false;
}

/* false where the type is small already */
static bool shrink(const label_ground *on, label *shrunk)
{
    double least_px = fmax(least_type_px, least_type_ems * on->em_px);
    double size_px = fmax(smaller * shrunk->style.size_px, least_px);
    if (shrunk->style.size_px <= least_px)
        return false;
    text_style style = shrunk->style;
    style.size_px = size_px;
    label made = label_make(on->face, &style, shrunk->anchor, shrunk->reach_x_px,
                            shrunk->reach_y_px, shrunk->words);
    shrunk->style = made.style;
    shrunk->width_px = made.width_px;
    shrunk->height_px = made.height_px;
    return true;
}

/* where nothing is free: others make room, or smaller type needs less. Takes long, so only for
 * labels that may lead: where very many are short of room it finds little. */
static void settle_crowded(const label_ground *on, label *labels, size_t which)
{
    while (!gives_up(on) && !make_room(on, labels, which) && shrink(on, &labels[which])) {
        bool found = try_close(on, &labels[which]) || try_leader(on, &labels[which]);
        settle(on, labels, which, found);
        if (found)
            return;
    }
}

/* leaders last: they and their words would take the room of those that need none */
bool labels_place(const label_ground *on, label *labels, size_t first, size_t count)
{
    for (size_t i = first; i < count; i++)
        settle(on, labels, i, try_close(on, &labels[i]));
    for (size_t i = first; i < count; i++)
        if (!labels[i].placed)
            settle(on, labels, i, try_leader(on, &labels[i]));
    for (size_t i = first; i < count; i++)
        if (!labels[i].placed && labels[i].may_lead)
            settle_crowded(on, labels, i);
    return !on->taken->failed;
}

static void draw_leaders(canvas *page, const label *labels, size_t count, double width_px)
{
    for (size_t i = 0; i < count; i++)
        if (labels[i].placed && labels[i].at.led)
            mask_line(&page->shapes, labels[i].at.lead_from, labels[i].at.lead_to, width_px);
}

void labels_draw(canvas *page, font *face, const label *labels, size_t count, double em_px)
{
    draw_leaders(page, labels, count, 0.24 * em_px);
    canvas_lay(page, PEN_PAPER, 0.8);
    draw_leaders(page, labels, count, 0.07 * em_px);
    canvas_lay(page, PEN_DARK, 1);
    for (size_t i = 0; i < count; i++)
        if (labels[i].placed)
            words_draw_centred(page, face, &labels[i].style, box_centre(labels[i].at.where),
                               labels[i].words);
}
