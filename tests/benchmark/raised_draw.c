/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What stands on a board with height, drawn by chance from ranges that the trade suggests. */
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "benchmark/raised.h"
#include "core/memory.h"

enum { TRIES = 600, CANS_MOST = 48 };

static double tenth(double value)
{
    return round(value * 10) / 10;
}

/* Footprint, height and watts of a kind before the whole board is scaled to its peak. */
typedef struct kind_range {
    double width_mm[2], height_mm[2], tall_mm[2], watts[2];
    double often;
} kind_range;

static const kind_range ranges[BODY_KINDS] = {
    [BODY_SINK] = {{16, 38}, {8, 26}, {20, 45}, {1.2, 5}, 0.22},
    [BODY_BLOCK] = {{16, 42}, {16, 38}, {14, 36}, {0.6, 3}, 0.24},
    [BODY_RESISTOR] = {{6, 18}, {5, 8}, {10, 20}, {0.4, 2.2}, 0.2},
    [BODY_FLAT] = {{8, 18}, {6, 14}, {3, 6}, {0.3, 1.2}, 0.18},
    [BODY_IC] = {{9, 22}, {7, 12}, {3, 5}, {0.1, 0.5}, 0.16},
};

static body_kind kind_draw(gsl_rng *chance)
{
    double left = gsl_rng_uniform(chance);
    for (int kind = 0; kind + 1 < BODY_KINDS; kind++) {
        left -= ranges[kind].often;
        if (left < 0)
            return (body_kind)kind;
    }
    return BODY_IC;
}

bool raised_clear_of(const raised *board, double x_mm, double y_mm, double width_mm,
                     double height_mm, double gap_mm)
{
    const invented *base = &board->base;
    for (size_t i = 0; i < base->source_count; i++)
        if (fabs(x_mm - base->sources[i].x_mm) <
                (width_mm + base->sources[i].width_mm) / 2 + gap_mm &&
            fabs(y_mm - base->sources[i].y_mm) <
                (height_mm + base->sources[i].height_mm) / 2 + gap_mm)
            return false;
    for (size_t i = 0; i < board->can_count; i++)
        if (hypot(x_mm - base->parts[i].x_mm, y_mm - base->parts[i].y_mm) <
            (fmax(width_mm, height_mm) + base->parts[i].diameter_mm) / 2 + gap_mm)
            return false;
    return true;
}

static double draw_of(gsl_rng *chance, const double range[2])
{
    return draw_between(chance, range[0], range[1]);
}

static void bodies_draw(raised *board, bool unlisted, gsl_rng *chance)
{
    invented *base = &board->base;
    size_t wanted = 4 + gsl_rng_uniform_int(chance, SOURCES_MOST - 3);
    for (int attempt = 0; attempt < TRIES && base->source_count < wanted; attempt++) {
        body_kind kind = kind_draw(chance);
        const kind_range *range = &ranges[kind];
        double wide_mm = tenth(draw_of(chance, range->width_mm));
        double deep_mm = tenth(draw_of(chance, range->height_mm));
        bool turned = gsl_rng_uniform(chance) < 0.4;
        invented_source tried = {
            .x_mm = tenth(draw_between(chance, 5, base->width_mm - 5)),
            .y_mm = tenth(draw_between(chance, 5, base->height_mm - 5)),
            .width_mm = turned ? deep_mm : wide_mm,
            .height_mm = turned ? wide_mm : deep_mm,
            .true_w = exp(draw_between(chance, log(range->watts[0]), log(range->watts[1]))),
            .listed = true,
        };
        if (!invented_has_room(base, tried.x_mm, tried.y_mm, tried.width_mm / 2 + 2,
                               tried.height_mm / 2 + 2) ||
            !raised_clear_of(board, tried.x_mm, tried.y_mm, tried.width_mm, tried.height_mm, 2))
            continue;
        board->bodies[base->source_count] =
            (raised_body){.kind = kind, .tall_mm = tenth(draw_of(chance, range->tall_mm))};
        base->sources[base->source_count++] = tried;
    }
    for (size_t i = 0; unlisted && i < (size_t)lround(0.3 * (double)base->source_count); i++)
        base->sources[i].listed = false; /* they were drawn in no order */
}

/* A third carry ripple that warms them by 0.5 to 6 K over their surroundings; the others next to
 * none. Some 11 W/m2K leave a can by air and radiation. */
static double ripple_w(const invented_part *part, double tall_mm, gsl_rng *chance)
{
    double skin_m2 = M_PI * part->diameter_mm * (tall_mm + part->diameter_mm / 4) * 1e-6;
    double warmer_k = gsl_rng_uniform(chance) < 0.33 ? draw_between(chance, 0.5, 6)
                                                     : draw_between(chance, 0, 0.3);
    return 11 * skin_m2 * warmer_k;
}

/* Ratings as on plane boards; the place is drawn anew until the can stands free. */
static void cans_draw(raised *board, gsl_rng *chance)
{
    static const double large_mm[] = {18, 22, 25, 30};
    invented *base = &board->base;
    parts_draw(base, chance);
    for (size_t i = 0; i < PARTS && board->can_count < CANS_MOST; i++) {
        invented_part part = base->parts[i];
        if (gsl_rng_uniform(chance) < 0.12)
            part.diameter_mm = large_mm[gsl_rng_uniform_int(chance, 4)];
        bool stands = false;
        for (int attempt = 0; attempt < 60 && !stands; attempt++) {
            double half_mm = part.diameter_mm / 2 + 1;
            part.x_mm = tenth(draw_between(chance, 0, base->width_mm));
            part.y_mm = tenth(draw_between(chance, 0, base->height_mm));
            stands =
                invented_has_room(base, part.x_mm, part.y_mm, half_mm, half_mm) &&
                raised_clear_of(board, part.x_mm, part.y_mm, part.diameter_mm, part.diameter_mm, 1);
        }
        if (!stands)
            continue;
        double tall_mm = part.diameter_mm < 7 ? draw_between(chance, 7, 12)
                                              : part.diameter_mm * draw_between(chance, 1.2, 2);
        board->cans[board->can_count] =
            (raised_can){.tall_mm = tenth(tall_mm), .own_w = ripple_w(&part, tall_mm, chance)};
        part.height_mm = board->cans[board->can_count].tall_mm;
        base->parts[board->can_count++] = part;
    }
}

/* Transistors, small regulators, resistors and diodes of 10 to 100 mW that nobody lists, one for
 * every 8 to 60 cm2, in groups as circuits are. */
static void small_parts_draw(raised *board, gsl_rng *chance)
{
    const invented *base = &board->base;
    double each_mm2 = exp(draw_between(chance, log(800), log(6000)));
    size_t wanted = (size_t)(base->width_mm * base->height_mm / each_mm2);
    double x_mm = 0, y_mm = 0;
    for (size_t i = 0; board->small_count < wanted && i < TRIES; i++) {
        if (i % 4 == 0) {
            x_mm = draw_between(chance, 4, base->width_mm - 4);
            y_mm = draw_between(chance, 4, base->height_mm - 4);
        }
        double here_x = x_mm + gsl_ran_gaussian_ziggurat(chance, 9);
        double here_y = y_mm + gsl_ran_gaussian_ziggurat(chance, 9);
        if (board->small_count == SMALL_PARTS_MOST ||
            !invented_has_room(base, here_x, here_y, 3, 3) ||
            !raised_clear_of(board, here_x, here_y, 4, 4, 0))
            continue;
        board->small_w[board->small_count] = exp(draw_between(chance, log(0.01), log(0.1)));
        board->small_x_mm[board->small_count] = here_x;
        board->small_y_mm[board->small_count++] = here_y;
    }
}

/* Draughts of the order that natural convection makes before an upright plate, 0.04 to 0.15 m/s;
 * less over a lying one, whose warm air leaves upwards; one board in six has a fan. */
static air_flow flow_draw(raised *board, gsl_rng *chance)
{
    plate_loss *loss = &board->base.loss;
    bool closed = gsl_rng_uniform(chance) < 0.35;
    double way = draw_between(chance, 0, 2 * M_PI), drift_ms = draw_between(chance, 0.004, 0.03);
    board->board_stays =
        loss->upright ? draw_between(chance, 0.3, 0.7) : draw_between(chance, 0.1, 0.5);
    board->body_stays =
        loss->upright ? draw_between(chance, 0.2, 0.5) : draw_between(chance, 0.1, 0.35);
    double lift = loss->upright ? 1 : 2, quiet = closed ? 0.5 : 1;
    board->base.air = closed ? "enclosed" : "still";
    if (gsl_rng_uniform(chance) < 1.0 / 6) {
        board->fan_ms = drift_ms = draw_between(chance, 0.25, 1.0);
        board->base.air = "forced";
    }
    air_flow flow = {.along_x_ms = drift_ms * cos(way),
                     .along_y_ms = drift_ms * sin(way),
                     .near_far_wm2k = lift * draw_between(chance, 7, 16),
                     .away_wm2k = lift * quiet * draw_between(chance, 7, 15),
                     .sideways_wm2k = draw_between(chance, 6, 12)};
    if (loss->upright)
        flow.along_y_ms += quiet * draw_between(chance, 0.05, 0.14);
    return flow;
}

void raised_draw(raised *board, bool unlisted, gsl_rng *chance)
{
    bodies_draw(board, unlisted, chance);
    cans_draw(board, chance);
    small_parts_draw(board, chance);
}

/* One maker's cans stand on a board: legs of copper or of copper on steel, 4 to 12 mm from the
 * winding to the solder, seals that touch the board or stand off it. */
static void can_habits_draw(raised *board, gsl_rng *chance)
{
    board->can_legs = (can_legs){
        .wmk = exp(draw_between(chance, log(60), log(390))),
        .long_mm = draw_between(chance, 4, 12),
        .gap_mm = exp(draw_between(chance, log(0.15), log(2.5))),
        .radial_wmk = draw_between(chance, 0.2, 0.6),
    };
}

/* Beads miss 3 to 8 % of the rise of what they touch; cheap thermometers are good to 0.5 to 1 K;
 * an emissivity is set once for all of a board. */
static void habits_draw(raised *board, gsl_rng *chance)
{
    board->habits = (raised_habits){
        .bead_low = draw_between(chance, 0.04, 0.07),
        .bead_low_sd = 0.01,
        .bead_offset_k = gsl_ran_gaussian_ziggurat(chance, 0.5),
        .infrared_offset_k = gsl_ran_gaussian_ziggurat(chance, 0.8),
        .infrared_gain = 1 + gsl_ran_gaussian_ziggurat(chance, 0.03),
        .spot_mm = draw_between(chance, 3, 9),
        .ruler_mm = draw_between(chance, 0.5, 1),
    };
    board->true_ambient_c = board->base.loss.ambient_c + gsl_ran_gaussian_ziggurat(chance, 0.3);
}

/* Watts without a doubt of their own; how it stands, seen rightly but for one in thirty, left
 * blank by one in eight. */
static void sources_tell(raised *board, gsl_rng *chance)
{
    powers_believe(&board->base, chance);
    for (size_t i = 0; i < board->base.source_count; i++) {
        body_kind kind = board->bodies[i].kind;
        double slip = gsl_rng_uniform(chance);
        if (slip < 0.03)
            kind = (body_kind)gsl_rng_uniform_int(chance, BODY_KINDS);
        board->base.sources[i].power_sd_w = (double)NAN;
        board->base.sources[i].mount = slip > 0.875 ? "" : body_mount_text(kind);
    }
}

static void raised_build(raised *board, gsl_rng *chance)
{
    air_flow flow = flow_draw(board, chance);
    board->film_gain = draw_between(chance, 0.9, 1.15);
    board->status = air_make(&board->around, board->base.width_mm, board->base.height_mm, &flow);
    raised_lay_board(board, chance);
    if (board->status != SF_OK)
        return;
    raised_build_bodies(board, chance);
    raised_build_cans(board, chance);
    raised_build_small_parts(board);
    raised_see_each_other(board);
    raised_expose_board(board, chance);
}

sf_status raised_make(raised **made, size_t readings, bool unlisted, gross_kind gross,
                      gsl_rng *chance)
{
    raised *board = *made = array_new(1, sizeof *board);
    if (!board)
        return SF_ERROR_MEMORY;
    invented *base = &board->base;
    outline_draw(base, chance);
    surroundings_draw(base, chance);
    raised_draw(board, unlisted, chance);
    can_habits_draw(board, chance);
    habits_draw(board, chance);
    raised_build(board, chance);
    sf_status status = raised_solve(board, draw_between(chance, 25, 60));
    if (status != SF_OK)
        return status;
    sources_tell(board, chance);
    for (size_t i = 0; gross == GROSS_NO_SOURCES && i < base->source_count; i++)
        base->sources[i].listed = false;
    raised_readings_take(board, readings, gross, chance);
    return SF_OK;
}

void raised_free(raised *board)
{
    if (!board)
        return;
    network_clear(&board->heat);
    air_clear(&board->around);
    free(board->node);
    free(board->cell_m2);
    free(board->bare);
    free(board->leak_wk);
    free(board->surfaces);
    free(board->radiants);
    free(board);
}
