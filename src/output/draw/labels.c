/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Trying places for labels, and writing them. */
#include "output/draw/labels.h"

#include <math.h>

/* --- the places where a label may stand, and what each costs --- */

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

/* what a place costs, in steps of the order below: by eye, no source */
static const double cost_on_source = 6, cost_on_edge = 9, cost_off_board = 4;

/* in ems */
static const double gap_beside = 0.14, between_rings = 0.75, leader_room = 0.2;

/* Beside a symbol, the best places first: x and y tell the side, 0 the middle. */
static const struct side {
    double x, y;
} sides[POSITION_BESIDE] = {{1, 0},    {-1, 0},    {0, -1},   {0, 1},   {1, -1},    {1, 1},
                            {-1, -1},  {-1, 1},    {1, -0.5}, {1, 0.5}, {-1, -0.5}, {-1, 0.5},
                            {0.5, -1}, {-0.5, -1}, {0.5, 1},  {-0.5, 1}};

/* the label's box at a side of its symbol; about a circle's corners it moves in */
static box beside(const label *placed, struct side at, double gap_px)
{
    double aslant = fmin(fabs(at.x), fabs(at.y));
    double share = !placed->round || aslant <= 0 ? 1 : aslant < 1 ? 0.95 : 0.72;
    double x = placed->reach_x_px * share + gap_px, y = placed->reach_y_px * share + gap_px;
    place centre = {placed->anchor.x_px + at.x * (x + placed->width_px / 2),
                    placed->anchor.y_px + at.y * (y + placed->height_px / 2)};
    return box_about(centre, placed->width_px, placed->height_px);
}

static double held(double value, double least, double most)
{
    return fmin(fmax(value, least), most);
}

/* from the symbol's edge to the nearest place of the label's box */
static void draw_out_leader(const label *placed, label_position *led, double em_px)
{
    box in = led->where;
    double inset = fmin(0.25 * em_px, (in.bottom - in.top) / 2);
    led->lead_to = (place){held(placed->anchor.x_px, in.left + inset, in.right - inset),
                           held(placed->anchor.y_px, in.top, in.bottom)};
    double dx = led->lead_to.x_px - placed->anchor.x_px;
    double dy = led->lead_to.y_px - placed->anchor.y_px;
    double length = sqrt(dx * dx + dy * dy);
    double reach = placed->round ? placed->reach_x_px
                                 : fmin(length, fmax(fabs(placed->reach_x_px * dx / length),
                                                     fabs(placed->reach_y_px * dy / length)));
    double share = length > 0 ? reach / length : 0;
    led->lead_from = (place){placed->anchor.x_px + share * dx, placed->anchor.y_px + share * dy};
}

static label_position in_ring(const label *placed, double away_px, int turn, double em_px)
{
    double angle = 2 * acos(-1) * turn / POSITION_IN_RING;
    double x = placed->reach_x_px + away_px + placed->width_px / 2;
    double y = placed->reach_y_px + away_px + placed->height_px / 2;
    place centre = {placed->anchor.x_px + x * cos(angle), placed->anchor.y_px - y * sin(angle)};
    label_position led = {.where = box_about(centre, placed->width_px, placed->height_px),
                          .led = true};
    draw_out_leader(placed, &led, em_px);
    return led;
}

/* Place 0 .. POSITIONS-1 of a label: first those beside its symbol, the best first, then ring by
 * ring those with a leader line. */
static label_position position_of(const label_ground *on, const label *placed, int number)
{
    /* the label's own best side changes places with the usual one */
    int side = number == 0 ? (int)placed->side : number == (int)placed->side ? 0 : number;
    if (number < POSITION_BESIDE)
        return (label_position){.where = beside(placed, sides[side], gap_beside * on->em_px)};
    int ring = (number - POSITION_BESIDE) / POSITION_IN_RING;
    int turn = (number - POSITION_BESIDE) % POSITION_IN_RING;
    return in_ring(placed, between_rings * (ring + 1) * on->em_px, turn, on->em_px);
}

/* On the symbol itself. */
static label_position position_inside(const label *placed)
{
    return (label_position){.where =
                                box_about(placed->anchor, placed->width_px, placed->height_px)};
}

static bool position_fits_inside(const label_ground *on, const label *placed)
{
    box inside = position_inside(placed).where;
    double x = placed->width_px / 2, y = placed->height_px / 2;
    bool fits = placed->round ? x * x + y * y < 0.8 * placed->reach_x_px * placed->reach_x_px
                              : x < 0.95 * placed->reach_x_px && y < 0.95 * placed->reach_y_px;
    return placed->may_stand_inside && fits && box_holds(on->taken->frame, inside) &&
           spatial_index_meets(on->taken, inside, POSITION_HARD, POSITION_HARD) == 0;
}

static unsigned hard_for(const label *placed)
{
    return POSITION_HARD | (placed->keeps_off_edges ? INDEX_EDGE : 0u);
}

static double ground_cost(const label_ground *on, const label *placed, box where)
{
    double share = mask_share(on->board, where);
    if (share >= 1)
        return 0;
    return share <= 0 ? cost_off_board : placed->keeps_off_edges ? POSITION_NEVER : cost_on_edge;
}

/* symbols about the anchor are the label's own */
static unsigned met_on_the_way(const label_ground *on, const label *placed,
                               const label_position *at)
{
    return spatial_index_crossed(on->taken, at->lead_from, at->lead_to, leader_room * on->em_px,
                                 POSITION_HARD, POSITION_HARD, &placed->anchor);
}

/* What it costs to stand there, in steps of the order of places beside a symbol; POSITION_NEVER
 * where something is in the way. */
static double position_cost(const label_ground *on, const label *placed, const label_position *at)
{
    if (!box_holds(on->taken->frame, at->where))
        return POSITION_NEVER;
    unsigned hard = hard_for(placed);
    unsigned met = spatial_index_meets(on->taken, at->where, INDEX_ALL, hard);
    if (met & hard || (at->led && met_on_the_way(on, placed, at)))
        return POSITION_NEVER;
    return (met & INDEX_SOURCE ? cost_on_source : 0) + (met & INDEX_EDGE ? cost_on_edge : 0) +
           ground_cost(on, placed, at->where);
}

/* Whose label is in the way of a place, its index + 1; 0 where something else is, or nothing. */
static size_t position_taken_by(const label_ground *on, const label *placed,
                                const label_position *at)
{
    if (!box_holds(on->taken->frame, at->where))
        return 0;
    unsigned hard = hard_for(placed);
    if (spatial_index_meets(on->taken, at->where, hard, hard) != 0 || !at->led)
        return spatial_index_owner_met(on->taken, at->where, hard);
    return spatial_index_owner_crossed(on->taken, at->lead_from, at->lead_to,
                                       leader_room * on->em_px, POSITION_HARD, &placed->anchor);
}

/* Adds the label's place to the spatial index, as owned by a label's index + 1. */
static void position_take(const label_ground *on, label *placed, size_t owner)
{
    placed->first_taken = on->taken->count;
    spatial_index_add(on->taken, (index_item){.where = placed->at.where,
                                              .shape = INDEX_BOX,
                                              .kind = INDEX_LABEL,
                                              .owner = owner});
    if (placed->at.led)
        spatial_index_add_line(on->taken, placed->at.lead_from, placed->at.lead_to,
                               leader_room * on->em_px, INDEX_LEADER, owner);
    placed->taken_count = on->taken->count - placed->first_taken;
}

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
    if (shrunk->keeps_size || shrunk->style.size_px <= least_px)
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
