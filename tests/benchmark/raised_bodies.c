/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sources as thermal networks: where their heat is made, how it leaves by legs, base and skin. */
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdint.h>

#include "benchmark/raised.h"
#include "core/memory.h"

static const double near_mm = 8;      /* thickness of the air's layer next the face */
static const double copper_wmk = 390; /* handbooks */
static const double still_air_wmk = 0.027;

const char *body_kind_text(body_kind kind)
{
    static const char *const texts[BODY_KINDS] = {"sink", "block", "resistor", "flatpower", "ic"};
    return texts[kind];
}

const char *body_mount_text(body_kind kind)
{
    static const char *const texts[BODY_KINDS] = {"heat-sink", "wound", "standing", "flat", "flat"};
    return texts[kind];
}

/* Half of what an upright side sees is board; of the rest neighbours take some. */
static const double side_sees_air = 0.42, side_sees_board = 0.35, top_sees_air = 0.95;

static double envelope_m2(const box *of)
{
    return (of->round ? M_PI * of->width_mm : 2 * (of->width_mm + of->height_mm)) * of->tall_mm *
           1e-6;
}

/* A place some way outside the middle of a side: side 0 left, 1 right, 2 below, 3 above; `along` is
 * -0.5 to 0.5 of its length. */
static size_t air_outside(const raised *board, const box *of, int side, double along, double out_mm,
                          size_t layer)
{
    double x_mm = of->x_mm + along * of->width_mm, y_mm = of->y_mm + along * of->height_mm;
    if (side < 2)
        x_mm = of->x_mm + (side == 0 ? -1 : 1) * (of->width_mm / 2 + out_mm);
    else
        y_mm = of->y_mm + (side == 2 ? -1 : 1) * (of->height_mm / 2 + out_mm);
    return air_cell(&board->around, layer, x_mm, y_mm);
}

/* Each side in pieces of its length, half of it near the board's face where it is low. What it
 * warms is the air up to 7 mm away. */
void raised_sides(raised *board, size_t node, const box *of)
{
    double low = fmin(near_mm / of->tall_mm, 1);
    surface piece = {.node = node,
                     .stays = board->body_stays,
                     .natural = 1.42,
                     .length_m = fmax(of->tall_mm, 5) * 1e-3,
                     .radiates = of->emissivity * side_sees_air / of->fins};
    for (int i = 0; i < BOX_SIDES * SIDE_PIECES; i++) {
        int side = i / SIDE_PIECES, part = i % SIDE_PIECES;
        double along = (part / 2 + 0.5) / (SIDE_PIECES / 2.0) - 0.5;
        double share = (side < 2 ? of->height_mm : of->width_mm) /
                       (2 * (of->width_mm + of->height_mm)) / SIDE_PIECES;
        for (size_t layer = AIR_NEAR; layer <= AIR_FAR; layer++) {
            piece.area_m2 =
                envelope_m2(of) * of->fins * share * (layer == AIR_NEAR ? low : 1 - low);
            piece.air_at = air_outside(board, of, side, along, part % 2 ? 6 : 2, layer);
            if (piece.area_m2 > 0)
                raised_surface(board, &piece);
        }
    }
}

void raised_top(raised *board, size_t node, const box *of)
{
    surface top = {.node = node,
                   .air_at = air_cell(&board->around, of->tall_mm > near_mm ? AIR_FAR : AIR_NEAR,
                                      of->x_mm, of->y_mm),
                   .stays = board->body_stays,
                   .area_m2 = of->width_mm * of->height_mm * (of->round ? M_PI / 4 : 1) * 1e-6,
                   .natural = board->base.loss.upright ? 1.42 : 1.32,
                   .length_m = fmax((of->width_mm + of->height_mm) / 2, 5) * 1e-3,
                   .radiates = of->emissivity * top_sees_air};
    raised_surface(board, &top);
}

/* Of a wire: conductivity, diameter, length. */
static double wire_wk(double wmk, double diameter_mm, double length_mm)
{
    return wmk * M_PI / 4 * diameter_mm * diameter_mm / length_mm * 1e-3;
}

static box body_box(const raised *board, size_t number, double emissivity)
{
    const invented_source *source = &board->base.sources[number];
    return (box){.x_mm = source->x_mm,
                 .y_mm = source->y_mm,
                 .width_mm = source->width_mm,
                 .height_mm = source->height_mm,
                 .tall_mm = board->bodies[number].tall_mm,
                 .fins = 1,
                 .emissivity = emissivity};
}

/* A transistor screwed to a sheet or profile of aluminium that stands on the board: three legs of
 * tinned copper or iron, one or two pins that hold the sink. The heat first crosses a pad. */
static void sink_build(raised *board, size_t number, gsl_rng *chance)
{
    raised_body *body = &board->bodies[number];
    box of = body_box(board, number, draw_between(chance, 0.1, 0.85));
    double leg_wmk = gsl_rng_uniform(chance) < 0.6 ? copper_wmk : 80;
    double leg_mm = draw_between(chance, 6, 12);
    of.fins = draw_between(chance, 1.2, 2.4); /* fins, or both sides of a sheet */
    raised_join(board, body->core, body->skin, draw_between(chance, 0.4, 1.5));
    for (int leg = 0; leg < 3; leg++)
        raised_lead(board, body->core, of.x_mm + 2.54 * (leg - 1), of.y_mm - of.height_mm / 4,
                    leg_wmk * 0.4e-6 / (leg_mm * 1e-3));
    int pins = 1 + (int)gsl_rng_uniform_int(chance, 2);
    for (int pin = 0; pin < pins; pin++)
        raised_lead(board, body->skin, of.x_mm + (pin ? 1 : -1) * of.width_mm * 0.35, of.y_mm,
                    wire_wk(60, 1.3, draw_between(chance, 4, 8)));
    raised_base(board, body->skin, of.x_mm, of.y_mm, of.width_mm * 0.7, of.height_mm * 0.5,
                still_air_wmk * of.width_mm * of.height_mm * 0.35e-3 /
                    draw_between(chance, 0.8, 3));
    raised_sides(board, body->skin, &of);
    raised_top(board, body->skin, &of);
    raised_cover(board, of.x_mm, of.y_mm, of.width_mm, of.height_mm, 0.3);
}

/* A transformer or choke: winding within core and hull; 4 to 10 pins hang on thin wire, the bobbin
 * stands off the board by air. */
static void block_build(raised *board, size_t number, gsl_rng *chance)
{
    raised_body *body = &board->bodies[number];
    box of = body_box(board, number, draw_between(chance, 0.8, 0.93));
    double base_m2 = of.width_mm * of.height_mm * 1e-6;
    raised_join(board, body->core, body->skin, base_m2 * draw_between(chance, 400, 1200));
    int pins = 4 + 2 * (int)gsl_rng_uniform_int(chance, 4);
    for (int pin = 0; pin < pins; pin++)
        raised_lead(
            board, body->core, of.x_mm + of.width_mm * 0.8 * ((pin / 2 + 0.5) / (pins / 2.0) - 0.5),
            of.y_mm + (pin % 2 ? 0.4 : -0.4) * of.height_mm, draw_between(chance, 2e-3, 7e-3));
    double gap_mm = draw_between(chance, 0.3, 1.5);
    raised_base(board, body->skin, of.x_mm, of.y_mm, of.width_mm, of.height_mm,
                base_m2 * (still_air_wmk / (gap_mm * 1e-3) + 5));
    raised_sides(board, body->skin, &of);
    raised_top(board, body->skin, &of);
    raised_cover(board, of.x_mm, of.y_mm, of.width_mm, of.height_mm, 0);
}

/* A power resistor that stands on its wires, upright with one wire brought down beside it, or
 * lying some way above the board; wires of copper or of copper on steel. */
static void resistor_build(raised *board, size_t number, gsl_rng *chance)
{
    raised_body *body = &board->bodies[number];
    box of = body_box(board, number, draw_between(chance, 0.85, 0.94));
    bool lying = of.width_mm > of.tall_mm;
    double wmk = gsl_rng_uniform(chance) < 0.5 ? copper_wmk : draw_between(chance, 90, 200);
    double stand_mm = lying ? draw_between(chance, 5, 12) : draw_between(chance, 3, 8);
    double wire_mm = draw_between(chance, 0.7, 0.9);
    double far_mm = lying ? stand_mm : stand_mm + of.tall_mm;
    raised_join(board, body->core, body->skin, draw_between(chance, 60e-3, 150e-3));
    raised_lead(board, body->core, of.x_mm - of.width_mm * 0.4, of.y_mm,
                wire_wk(wmk, wire_mm, stand_mm + 2));
    raised_lead(board, body->core, of.x_mm + of.width_mm * 0.4, of.y_mm,
                wire_wk(wmk, wire_mm, far_mm + 2));
    raised_sides(board, body->skin, &of);
    raised_top(board, body->skin, &of);
    raised_cover(board, of.x_mm, of.y_mm, of.width_mm, of.height_mm, 0.6);
}

/* A diode, regulator or resistor laid flat, a little off the board, on two or three legs. */
static void flat_build(raised *board, size_t number, gsl_rng *chance)
{
    raised_body *body = &board->bodies[number];
    box of = body_box(board, number, draw_between(chance, 0.8, 0.93));
    double area_m2 = of.width_mm * of.height_mm * 1e-6;
    double gap_mm = draw_between(chance, 0.1, 1);
    int legs = 2 + (int)gsl_rng_uniform_int(chance, 2);
    raised_join(board, body->core, body->skin, draw_between(chance, 40e-3, 150e-3));
    for (int leg = 0; leg < legs; leg++)
        raised_lead(board, body->core, of.x_mm + of.width_mm * 0.45 * (leg - (legs - 1) / 2.0),
                    of.y_mm, draw_between(chance, 10e-3, 35e-3));
    raised_base(board, body->skin, of.x_mm, of.y_mm, of.width_mm, of.height_mm,
                area_m2 * (still_air_wmk / (gap_mm * 1e-3) + 5));
    raised_sides(board, body->skin, &of);
    raised_top(board, body->skin, &of);
    raised_cover(board, of.x_mm, of.y_mm, of.width_mm, of.height_mm, 0.1);
}

/* A small integrated circuit in two rows of legs on a frame. */
static void ic_build(raised *board, size_t number, gsl_rng *chance)
{
    raised_body *body = &board->bodies[number];
    box of = body_box(board, number, draw_between(chance, 0.85, 0.93));
    size_t frame = raised_node(board);
    int legs = 4 + (int)gsl_rng_uniform_int(chance, 4); /* a row */
    raised_join(board, body->core, frame, draw_between(chance, 60e-3, 200e-3));
    raised_join(board, body->core, body->skin, draw_between(chance, 20e-3, 60e-3));
    double leg_wk = draw_between(chance, 6e-3, 18e-3);
    for (int leg = 0; leg < 2 * legs; leg++)
        raised_lead(board, frame, of.x_mm + of.width_mm * ((leg / 2 + 0.5) / legs - 0.5),
                    of.y_mm + (leg % 2 ? 0.5 : -0.5) * of.height_mm, leg_wk);
    raised_base(board, body->skin, of.x_mm, of.y_mm, of.width_mm, of.height_mm,
                of.width_mm * of.height_mm * 1e-3 * still_air_wmk / draw_between(chance, 0.3, 1));
    raised_sides(board, body->skin, &of);
    raised_top(board, body->skin, &of);
    raised_cover(board, of.x_mm, of.y_mm, of.width_mm, of.height_mm, 0.1);
}

void raised_build_bodies(raised *board, gsl_rng *chance)
{
    static void (*const builds[BODY_KINDS])(raised *, size_t, gsl_rng *) = {
        sink_build, block_build, resistor_build, flat_build, ic_build};
    for (size_t i = 0; i < board->base.source_count; i++) {
        raised_body *body = &board->bodies[i];
        body->core = raised_node(board);
        body->skin = raised_node(board);
        body->first_link = board->heat.link_count;
        builds[body->kind](board, i, chance);
        body->after_links = board->heat.link_count;
        if (board->status == SF_OK)
            board->heat.heat_w[body->core] = board->base.sources[i].true_w;
    }
}

/* An aluminium can: a winding of foil within its side, a lid that the side's metal holds warm, two
 * legs that end in the winding, a rubber seal that stands on the board or a little above it. Up to
 * 20 mm the legs are wires, of copper or copper on steel; above, two tags. */
static void can_build(raised *board, size_t number, gsl_rng *chance)
{
    const invented_part *part = &board->base.parts[number];
    raised_can *can = &board->cans[number];
    double d = part->diameter_mm, bottom_m2 = M_PI / 4 * d * d * 1e-6;
    can->core = raised_node(board);
    can->side = raised_node(board);
    can->lid = raised_node(board);
    const can_legs *legs = &board->can_legs;
    raised_join(board, can->core, can->side, 8 * M_PI * legs->radial_wmk * can->tall_mm * 1e-3);
    raised_join(board, can->core, can->lid, bottom_m2 * draw_between(chance, 15, 60));
    raised_join(board, can->side, can->lid,
                200 * M_PI * d * draw_between(chance, 0.25, 0.4) / (can->tall_mm / 2) * 1e-3);
    double leg_mm = d < 7 ? 0.5 : d < 11 ? 0.6 : 0.8, apart_mm = d < 7 ? 2 : d < 11 ? 4 : 7.5;
    double long_mm = legs->long_mm * draw_between(chance, 0.85, 1.15);
    double leg_wk =
        d > 20 ? copper_wmk * 1.2e-6 / (long_mm * 1e-3) : wire_wk(legs->wmk, leg_mm, long_mm);
    for (int leg = -1; leg <= 1; leg += 2)
        raised_lead(board, can->core, part->x_mm + leg * apart_mm / 2, part->y_mm, leg_wk);
    double seal = draw_between(chance, 2e-3, 4.5e-3) / 0.25;
    double gap = legs->gap_mm * 1e-3 * draw_between(chance, 0.6, 1.4) / still_air_wmk;
    raised_base(board, can->core, part->x_mm, part->y_mm, d * 0.88, d * 0.88,
                bottom_m2 / (seal + gap));
    box of = {part->x_mm, part->y_mm, d, d, can->tall_mm, true, 1, draw_between(chance, 0.8, 0.92)};
    raised_sides(board, can->side, &of);
    of.emissivity = gsl_rng_uniform(chance) < 0.7 ? 0.12 : 0.85; /* bare metal, or under sleeve */
    raised_top(board, can->lid, &of);
    raised_cover(board, part->x_mm, part->y_mm, d * 0.88, d * 0.88, 0.15);
    if (board->status == SF_OK)
        board->heat.heat_w[can->core] = can->own_w;
}

void raised_build_cans(raised *board, gsl_rng *chance)
{
    for (size_t i = 0; i < board->can_count; i++)
        can_build(board, i, chance);
}

/* Two legs 5 mm apart into the solder; some of the heat leaves from the part itself. */
void raised_build_small_parts(raised *board)
{
    for (size_t i = 0; board->status == SF_OK && i < board->small_count; i++) {
        size_t body = raised_node(board);
        for (int leg = -1; leg <= 1; leg += 2)
            raised_lead(board, body, board->small_x_mm[i] + leg * 2.5, board->small_y_mm[i], 8e-3);
        surface skin = {.node = body,
                        .air_at = air_cell(&board->around, AIR_NEAR, board->small_x_mm[i],
                                           board->small_y_mm[i]),
                        .stays = board->body_stays,
                        .area_m2 = 70e-6,
                        .natural = 1.42,
                        .length_m = 5e-3,
                        .radiates = 0.6};
        raised_surface(board, &skin);
        if (board->status == SF_OK)
            board->heat.heat_w[body] = board->small_w[i];
    }
}

/* What one upright thing shows the others. */
typedef struct sight {
    size_t node;
    double x_mm, y_mm, width_mm, height_mm, tall_mm, emissivity;
} sight;

static sight sight_of(const raised *board, size_t number)
{
    const invented *base = &board->base;
    if (number < base->source_count) {
        const invented_source *source = &base->sources[number];
        return (sight){board->bodies[number].skin,
                       source->x_mm,
                       source->y_mm,
                       source->width_mm,
                       source->height_mm,
                       board->bodies[number].tall_mm,
                       board->bodies[number].kind == BODY_SINK ? 0.4 : 0.9};
    }
    const invented_part *part = &base->parts[number - base->source_count];
    const raised_can *can = &board->cans[number - base->source_count];
    return (sight){can->side,         part->x_mm,   part->y_mm, part->diameter_mm,
                   part->diameter_mm, can->tall_mm, 0.85};
}

static void radiant_add(raised *board, size_t from, size_t to, double area_m2)
{
    radiant *added =
        array_add(&board->radiants, &board->radiant_count, &board->radiant_room, sizeof *added);
    if (!added) {
        board->status = SF_ERROR_MEMORY;
        return;
    }
    *added = (radiant){board->heat.link_count, area_m2};
    raised_join(board, from, to, area_m2 * 6);
}

/* To every third cell of bare board as far away as it is tall. */
static void sees_board(raised *board, const sight *seen)
{
    double width_mm = seen->width_mm + 2 * seen->tall_mm;
    double height_mm = seen->height_mm + 2 * seen->tall_mm;
    double side_m2 = 1.7 * (seen->width_mm + seen->height_mm) * seen->tall_mm * 1e-6; /* box, can */
    size_t count = 0;
    for (int pass = 0; pass < 2; pass++) {
        size_t cell = 0, front, met = 0;
        while ((front = raised_next_in(board, seen->x_mm, seen->y_mm, width_mm, height_mm,
                                       &cell)) != SIZE_MAX) {
            if (board->bare[cell - 1] < 1 || met++ % 3 != 0)
                continue;
            if (pass == 0)
                count++;
            else
                radiant_add(board, seen->node, front,
                            0.85 * seen->emissivity * side_sees_board * side_m2 / (double)count);
        }
    }
}

void raised_see_each_other(raised *board)
{
    size_t count = board->base.source_count + board->can_count;
    for (size_t i = 0; i < count; i++) {
        sight one = sight_of(board, i);
        double one_m2 = fmax(one.width_mm, one.height_mm) * one.tall_mm * 1e-6;
        sees_board(board, &one);
        for (size_t j = i + 1; j < count; j++) {
            sight other = sight_of(board, j);
            double other_m2 = fmax(other.width_mm, other.height_mm) * other.tall_mm * 1e-6;
            double away_m = hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm) * 1e-3;
            if (away_m < 0.06) /* two small upright faces, the formula of handbooks bounded */
                radiant_add(board, one.node, other.node,
                            one.emissivity * other.emissivity * one_m2 * other_m2 /
                                (M_PI * away_m * away_m + one_m2 + other_m2));
        }
    }
}
