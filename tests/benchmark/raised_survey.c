/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a technician reads on a board with height, and what goes wrong with it. */
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <math.h>

#include "benchmark/raised.h"

enum { TRIES = 2000, CANDIDATES = 12 };

static double tenth(double value)
{
    return round(value * 10) / 10;
}

/* A half of the board: beyond x_mm or y_mm, or all of it. */
typedef struct half {
    bool whole, across, beyond;
} half;

static bool half_holds(const raised *board, const half *side, double x_mm, double y_mm)
{
    double place = side->across ? x_mm / board->base.width_mm : y_mm / board->base.height_mm;
    return side->whole || (place > 0.5) == side->beyond;
}

/* Mean over the spot of an infrared thermometer, 13 points. */
static double spot_rise(const raised *board, int face, double x_mm, double y_mm)
{
    double sum_k = raised_face_rise(board, face, x_mm, y_mm);
    for (int i = 0; i < 12; i++) {
        double out_mm = board->habits.spot_mm / 2 * (i < 6 ? 0.45 : 0.85);
        sum_k += raised_face_rise(board, face, x_mm + out_mm * cos(i * M_PI / 3),
                                  y_mm + out_mm * sin(i * M_PI / 3));
    }
    return sum_k / 13;
}

/* The rise that is meant, at the place written down. */
static double true_rise(const raised *board, const raised_reading *read)
{
    switch (read->on) {
    case ON_CAN:
        return board->heat.rise_k[read->infrared ? board->cans[read->number].lid
                                                 : board->cans[read->number].side];
    case ON_BODY:
        return board->heat.rise_k[board->bodies[read->number].skin];
    default:
        return raised_face_rise(board, read->on == ON_BACK, read->x_mm, read->y_mm);
    }
}

/* What lies under the instrument, where the ruler really put it. */
static double met_rise(const raised *board, const raised_reading *read, gsl_rng *chance)
{
    double ruler_mm = board->habits.ruler_mm;
    double x_mm = read->x_mm + gsl_ran_gaussian_ziggurat(chance, ruler_mm);
    double y_mm = read->y_mm + gsl_ran_gaussian_ziggurat(chance, ruler_mm);
    int face = read->on == ON_BACK;
    if (read->on == ON_CAN && read->infrared) {
        double wide = board->base.parts[read->number].diameter_mm / board->habits.spot_mm;
        double share = fmin(wide * wide, 1);
        return share * true_rise(board, read) + (1 - share) * spot_rise(board, 0, x_mm, y_mm);
    }
    if (read->on == ON_CAN || read->on == ON_BODY)
        return true_rise(board, read);
    return read->infrared ? spot_rise(board, face, x_mm, y_mm)
                          : raised_face_rise(board, face, x_mm, y_mm);
}

static double air_beside(const raised *board, const raised_reading *read)
{
    size_t layer = read->on == ON_BACK ? AIR_BACK : AIR_NEAR;
    return board->around.rise_k[air_cell(&board->around, layer, read->x_mm, read->y_mm)];
}

void raised_read(raised *board, raised_reading read, gsl_rng *chance)
{
    const raised_habits *habits = &board->habits;
    double rise_k = met_rise(board, &read, chance), air_k = air_beside(board, &read), shown_k;
    if (read.infrared)
        shown_k = rise_k * habits->infrared_gain + habits->infrared_offset_k +
                  gsl_ran_gaussian_ziggurat(chance, 0.3);
    else
        shown_k = rise_k -
                  (rise_k - air_k) *
                      (habits->bead_low + gsl_ran_gaussian_ziggurat(chance, habits->bead_low_sd)) +
                  habits->bead_offset_k + gsl_ran_gaussian_ziggurat(chance, 0.25);
    read.value_c = tenth(board->true_ambient_c + shown_k);
    read.surface_c = board->true_ambient_c + true_rise(board, &read);
    read.air_c = board->true_ambient_c + air_k;
    board->readings[board->reading_count++] = read;
}

static void reading_add(raised *board, raised_reading read, gsl_rng *chance)
{
    read.infrared = gsl_rng_uniform(chance) < 0.3;
    raised_read(board, read, chance);
}

/* The hottest listed source of the half that was not read yet, or source_count: who holds a finger
 * near them knows. */
static size_t hottest_unread(const raised *board, const half *side, const bool *read)
{
    size_t found = board->base.source_count;
    double hottest_k = -(double)INFINITY;
    for (size_t i = 0; i < board->base.source_count; i++) {
        const invented_source *source = &board->base.sources[i];
        double rise_k = raised_face_rise(board, 1, source->x_mm, source->y_mm);
        if (source->listed && !read[i] && half_holds(board, side, source->x_mm, source->y_mm) &&
            rise_k > hottest_k) {
            hottest_k = rise_k;
            found = i;
        }
    }
    return found;
}

/* Under the source on the solder side; beside it on the front; or on its body. */
static void source_read(raised *board, const half *side, size_t number, gsl_rng *chance)
{
    const invented_source *source = &board->base.sources[number];
    raised_reading read = {
        .on = ON_BACK, .number = number, .x_mm = source->x_mm, .y_mm = source->y_mm};
    double way = gsl_rng_uniform(chance), beside = draw_between(chance, 2, 4);
    double x_mm = tenth(source->x_mm + (way < 0.8 ? 1 : -1) * (source->width_mm / 2 + beside));
    if (way < 0.12)
        read.on = ON_BODY;
    else if (way < 0.5 && invented_has_room(&board->base, x_mm, source->y_mm, 1, 1) &&
             raised_clear_of(board, x_mm, source->y_mm, 1, 1, 0.5) &&
             half_holds(board, side, x_mm, source->y_mm)) {
        read.on = ON_FRONT;
        read.x_mm = x_mm;
    }
    reading_add(board, read, chance);
}

static double nearest_reading_mm(const raised *board, double x_mm, double y_mm)
{
    double nearest = (double)INFINITY;
    for (size_t i = 0; i < board->reading_count; i++)
        nearest =
            fmin(nearest, hypot(board->readings[i].x_mm - x_mm, board->readings[i].y_mm - y_mm));
    return nearest;
}

/* Of a dozen places drawn by chance the one farthest from all readings so far. */
static void open_board_read(raised *board, const half *side, gsl_rng *chance)
{
    const invented *base = &board->base;
    raised_reading best = {.on = gsl_rng_uniform(chance) < 0.35 ? ON_BACK : ON_FRONT};
    double best_mm = -1;
    for (int attempt = 0, candidate = 0; attempt < TRIES && candidate < CANDIDATES; attempt++) {
        double x_mm = tenth(draw_between(chance, 0, base->width_mm));
        double y_mm = tenth(draw_between(chance, 0, base->height_mm));
        if (!half_holds(board, side, x_mm, y_mm) || !invented_has_room(base, x_mm, y_mm, 3, 3) ||
            (best.on == ON_FRONT && !raised_clear_of(board, x_mm, y_mm, 2, 2, 0.5)))
            continue;
        candidate++;
        double away_mm = nearest_reading_mm(board, x_mm, y_mm);
        if (away_mm > best_mm) {
            best.x_mm = x_mm;
            best.y_mm = y_mm;
            best_mm = away_mm;
        }
    }
    reading_add(board, best, chance);
}

/* The warmest of three cans drawn by chance, for those are of interest; false where the half has
 * none that was not read. */
static bool can_read(raised *board, const half *side, gsl_rng *chance)
{
    raised_reading read = {.on = ON_CAN};
    double warmest_k = -(double)INFINITY;
    for (int candidate = 0; candidate < 3 && board->can_count > 0; candidate++) {
        size_t can = gsl_rng_uniform_int(chance, board->can_count);
        const invented_part *part = &board->base.parts[can];
        if (!half_holds(board, side, part->x_mm, part->y_mm) ||
            nearest_reading_mm(board, part->x_mm, part->y_mm) < 1 ||
            raised_case_rise(board, can) <= warmest_k)
            continue;
        warmest_k = raised_case_rise(board, can);
        read.number = can;
        read.x_mm = part->x_mm;
        read.y_mm = part->y_mm;
    }
    if (isfinite(warmest_k))
        reading_add(board, read, chance);
    return isfinite(warmest_k);
}

static double transposed(double value_c, bool tens)
{
    long digits = lround(value_c * 10);
    long tenths = digits % 10, units = digits / 10 % 10, ten = digits / 100 % 10;
    long above = digits / 1000 * 1000;
    return tens ? (double)(above + units * 100 + ten * 10 + tenths) / 10
                : (double)(above + ten * 100 + tenths * 10 + units) / 10;
}

/* The slip, made with one reading; another takes part where two are exchanged. False where it
 * would change less than 5 K. */
static bool spoil(raised *board, gross_kind gross, raised_reading *read, raised_reading *other,
                  bool tens)
{
    double was_c = read->value_c, rise_k = was_c - board->base.loss.ambient_c;
    double air_k = read->air_c - board->true_ambient_c, now_c = was_c;
    if (gross == GROSS_TENTH)
        now_c = was_c / 10;
    else if (gross == GROSS_LIFTED && !read->infrared)
        now_c = was_c - 0.75 * (rise_k - air_k); /* most of what it meets is the air beside */
    else if (gross == GROSS_EXCHANGED)
        now_c = other->value_c;
    else if (gross == GROSS_TRANSPOSED)
        now_c = transposed(was_c, tens);
    else if (gross == GROSS_HALF_RISE)
        now_c = was_c - rise_k / 2;
    if (fabs(now_c - was_c) < 5)
        return false;
    read->value_c = tenth(now_c);
    read->gross = true;
    if (gross == GROSS_EXCHANGED) {
        other->value_c = was_c;
        other->gross = true;
    }
    return true;
}

static void readings_spoil(raised *board, gross_kind gross, gsl_rng *chance)
{
    bool done = gross == GROSS_NONE || gross >= GROSS_ONE_SIDE;
    for (int attempt = 0; attempt < TRIES && !done; attempt++) {
        size_t one = gsl_rng_uniform_int(chance, board->reading_count);
        size_t other = gsl_rng_uniform_int(chance, board->reading_count);
        done = spoil(board, gross, &board->readings[one], &board->readings[other],
                     gsl_rng_uniform(chance) < 0.5);
    }
}

void raised_readings_take(raised *board, size_t readings, gross_kind gross, gsl_rng *chance)
{
    bool read[SOURCES_MOST] = {false};
    half side = {.whole = gross != GROSS_ONE_SIDE,
                 .across = gsl_rng_uniform(chance) < 0.5,
                 .beyond = gsl_rng_uniform(chance) < 0.5};
    size_t listed = 0;
    for (size_t i = 0; i < board->base.source_count; i++)
        listed += board->base.sources[i].listed;
    size_t hot = (size_t)ceil(0.75 * (double)listed);
    hot = hot > readings / 2 ? readings / 2 : hot;
    size_t source;
    while (board->reading_count < hot &&
           (source = hottest_unread(board, &side, read)) < board->base.source_count) {
        read[source] = true;
        source_read(board, &side, source, chance);
    }
    while (board->reading_count < readings)
        if (gsl_rng_uniform(chance) >= 0.25 || !can_read(board, &side, chance))
            open_board_read(board, &side, chance);
    readings_spoil(board, gross, chance);
}
