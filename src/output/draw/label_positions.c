/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Places beside a symbol and with a leader line, and their cost. */
#include "output/draw/label_positions.h"

#include <math.h>

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

label_position position_of(const label_ground *on, const label *placed, int number)
{
    /* the label's own best side changes places with the usual one */
    int side = number == 0 ? (int)placed->side : number == (int)placed->side ? 0 : number;
    if (number < POSITION_BESIDE)
        return (label_position){.where = beside(placed, sides[side], gap_beside * on->em_px)};
    int ring = (number - POSITION_BESIDE) / POSITION_IN_RING;
    int turn = (number - POSITION_BESIDE) % POSITION_IN_RING;
    return in_ring(placed, between_rings * (ring + 1) * on->em_px, turn, on->em_px);
}

label_position position_inside(const label *placed)
{
    return (label_position){.where =
                                box_about(placed->anchor, placed->width_px, placed->height_px)};
}

bool position_fits_inside(const label_ground *on, const label *placed)
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

double position_cost(const label_ground *on, const label *placed, const label_position *at)
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

size_t position_taken_by(const label_ground *on, const label *placed, const label_position *at)
{
    if (!box_holds(on->taken->frame, at->where))
        return 0;
    unsigned hard = hard_for(placed);
    if (spatial_index_meets(on->taken, at->where, hard, hard) != 0 || !at->led)
        return spatial_index_owner_met(on->taken, at->where, hard);
    return spatial_index_owner_crossed(on->taken, at->lead_from, at->lead_to,
                                       leader_room * on->em_px, POSITION_HARD, &placed->anchor);
}

void position_take(const label_ground *on, label *placed, size_t owner)
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
