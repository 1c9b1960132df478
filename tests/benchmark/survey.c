/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What stands on an invented board and what a technician would read on it. */
#include "benchmark/invented.h"

#include <gsl/gsl_randist.h>
#include <math.h>

#include "core/geometry.h"

enum { TRIES = 4000, CANDIDATES = 12 };

static double tenth(double value_mm)
{
    return round(value_mm * 10) / 10;
}

static void ring_set(invented *board, size_t count)
{
    size_t number = board->ring_count++;
    board->rings[number] =
        (sf_ring){.number = (int)number, .points = board->corners[number], .count = count};
}

/* The edge: a rectangle, or one with a notch cut from a corner or from the upper edge. */
static void edge_draw(invented *board, gsl_rng *chance)
{
    double w = board->width_mm, h = board->height_mm, kind = gsl_rng_uniform(chance);
    double across = tenth(draw_between(chance, 0.12, 0.4) * w);
    double deep = tenth(draw_between(chance, 0.12, 0.4) * h);
    double from = tenth(draw_between(chance, 0.2, 0.45) * w);
    const sf_point plain[] = {{0, 0}, {w, 0}, {w, h}, {0, h}};
    const sf_point corner[] = {{0, 0},          {w, 0}, {w, h - deep}, {w - across, h - deep},
                               {w - across, h}, {0, h}};
    const sf_point edge[] = {
        {0, 0},           {w, 0},    {w, h}, {from + across, h}, {from + across, h - deep},
        {from, h - deep}, {from, h}, {0, h}};
    const sf_point *chosen = kind < 0.45 ? plain : kind < 0.8 ? corner : edge;
    size_t count = kind < 0.45 ? 4 : kind < 0.8 ? 6 : 8;
    bool mirrored = gsl_rng_uniform(chance) < 0.5;
    for (size_t i = 0; i < count; i++) {
        sf_point point = chosen[mirrored ? count - 1 - i : i];
        board->corners[0][i] = (sf_point){mirrored ? w - point.x_mm : point.x_mm, point.y_mm};
    }
    ring_set(board, count);
}

/* An isolation slot, 2 to 4 mm wide, as between mains and low-voltage side; at least 8 mm of
 * board is left at either end. */
static void slot_draw(invented *board, gsl_rng *chance)
{
    for (int attempt = 0; attempt < TRIES; attempt++) {
        bool upright = gsl_rng_uniform(chance) < 0.6;
        double long_mm =
            draw_between(chance, 0.25, 0.6) * (upright ? board->height_mm : board->width_mm) / 2;
        double half_mm = draw_between(chance, 1, 2);
        double half_width = tenth(upright ? half_mm : long_mm);
        double half_height = tenth(upright ? long_mm : half_mm);
        double x = tenth(draw_between(chance, 0, board->width_mm));
        double y = tenth(draw_between(chance, 0, board->height_mm));
        if (!invented_has_room(board, x, y, half_width + 8, half_height + 8))
            continue;
        sf_point *corners = board->corners[board->ring_count];
        corners[0] = (sf_point){x - half_width, y - half_height};
        corners[1] = (sf_point){x + half_width, y - half_height};
        corners[2] = (sf_point){x + half_width, y + half_height};
        corners[3] = (sf_point){x - half_width, y + half_height};
        ring_set(board, 4);
        return;
    }
}

void outline_draw(invented *board, gsl_rng *chance)
{
    board->width_mm = round(draw_between(chance, 100, 250));
    board->height_mm = round(draw_between(chance, 80, 200));
    edge_draw(board, chance);
    double slots = gsl_rng_uniform(chance);
    if (slots < 0.55)
        slot_draw(board, chance);
    if (slots < 0.15)
        slot_draw(board, chance);
}

static bool clear_of_sources(const invented *board, const invented_source *tried)
{
    for (size_t i = 0; i < board->source_count; i++) {
        const invented_source *other = &board->sources[i];
        if (fabs(tried->x_mm - other->x_mm) < (tried->width_mm + other->width_mm) / 2 + 2 &&
            fabs(tried->y_mm - other->y_mm) < (tried->height_mm + other->height_mm) / 2 + 2)
            return false;
    }
    return true;
}

/* Footprints from a small power package to a small transformer; 0.1 to 0.9 W before the whole
 * board is scaled to its peak. */
void sources_draw(invented *board, bool unlisted, gsl_rng *chance)
{
    size_t wanted = 3 + gsl_rng_uniform_int(chance, SOURCES_MOST - 2);
    for (int attempt = 0; attempt < TRIES && board->source_count < wanted; attempt++) {
        invented_source tried = {
            .x_mm = tenth(draw_between(chance, 5, board->width_mm - 5)),
            .y_mm = tenth(draw_between(chance, 5, board->height_mm - 5)),
            .width_mm = tenth(draw_between(chance, 6, 26)),
            .height_mm = tenth(draw_between(chance, 6, 26)),
            .true_w = 0.1 * pow(9, gsl_rng_uniform(chance)),
            .listed = true,
        };
        if (invented_has_room(board, tried.x_mm, tried.y_mm, tried.width_mm / 2 + 1,
                              tried.height_mm / 2 + 1) &&
            clear_of_sources(board, &tried))
            board->sources[board->source_count++] = tried;
    }
    for (size_t i = 0; unlisted && i < (size_t)lround((double)board->source_count / 3); i++)
        board->sources[i].listed = false; /* they were drawn in no order */
}

static double choice(gsl_rng *chance, const double *values, size_t count)
{
    return values[gsl_rng_uniform_int(chance, count)];
}

/* Preferred values and voltages (IEC 60063 E3; the makers' voltage series) and the endurance
 * classes of catalogues. */
void parts_draw(invented *board, gsl_rng *chance)
{
    static const double values_uf[] = {1, 2.2, 4.7, 10, 22, 47, 100, 220, 470, 1000, 2200};
    static const double voltages[] = {10, 16, 25, 35, 50, 63};
    static const double diameters_mm[] = {5, 6.3, 8, 10, 12.5, 16};
    static const double endurances_h[] = {1000, 2000, 3000, 5000};
    for (size_t i = 0; i < PARTS;) {
        double x_mm = tenth(draw_between(chance, 0, board->width_mm));
        double y_mm = tenth(draw_between(chance, 0, board->height_mm));
        if (!invented_has_room(board, x_mm, y_mm, 2.5, 2.5))
            continue;
        board->parts[i++] = (invented_part){x_mm,
                                            y_mm,
                                            choice(chance, diameters_mm, 6),
                                            choice(chance, values_uf, 11),
                                            choice(chance, voltages, 6),
                                            gsl_rng_uniform(chance) < 0.6 ? 85 : 105,
                                            choice(chance, endurances_h, 4),
                                            gsl_rng_uniform(chance) < 0.1,
                                            (double)NAN};
    }
}

/* The bead lies 0.7 mm (each axis) from where the ruler says, and the thermometer is 0.7 K off. */
static void reading_add(invented *board, double x_mm, double y_mm, gsl_rng *chance)
{
    double rise_k = (double)NAN;
    while (isnan(rise_k))
        rise_k = plate_rise(board->truth, x_mm + gsl_ran_gaussian_ziggurat(chance, 0.7),
                            y_mm + gsl_ran_gaussian_ziggurat(chance, 0.7));
    double shown_c = board->loss.ambient_c + rise_k + gsl_ran_gaussian_ziggurat(chance, 0.7);
    board->readings[board->reading_count++] = (invented_reading){x_mm, y_mm, tenth(shown_c)};
}

/* The hottest listed source not read yet, or source_count. */
static size_t hottest_unread(const invented *board, const bool *read)
{
    size_t found = board->source_count;
    double hottest_k = -(double)INFINITY;
    for (size_t i = 0; i < board->source_count; i++) {
        const invented_source *source = &board->sources[i];
        double rise_k = plate_rise(board->truth, source->x_mm, source->y_mm);
        if (source->listed && !read[i] && rise_k > hottest_k) {
            hottest_k = rise_k;
            found = i;
        }
    }
    return found;
}

static double nearest_reading_mm(const invented *board, double x_mm, double y_mm)
{
    double nearest = (double)INFINITY;
    for (size_t i = 0; i < board->reading_count; i++)
        nearest =
            fmin(nearest, hypot(board->readings[i].x_mm - x_mm, board->readings[i].y_mm - y_mm));
    return nearest;
}

/* The place farthest from all readings so far among a dozen drawn by chance. */
static void reading_add_spread(invented *board, gsl_rng *chance)
{
    double best_x = 0, best_y = 0, best_mm = -1;
    for (int candidate = 0; candidate < CANDIDATES;) {
        double x_mm = tenth(draw_between(chance, 0, board->width_mm));
        double y_mm = tenth(draw_between(chance, 0, board->height_mm));
        if (!invented_has_room(board, x_mm, y_mm, 3, 3))
            continue;
        candidate++;
        double away_mm = nearest_reading_mm(board, x_mm, y_mm);
        if (away_mm > best_mm) {
            best_x = x_mm;
            best_y = y_mm;
            best_mm = away_mm;
        }
    }
    reading_add(board, best_x, best_y, chance);
}

/* Three quarters of the listed sources, the hottest first, but no more than half of the readings;
 * the rest well spread. */
void readings_take(invented *board, size_t readings, gsl_rng *chance)
{
    bool read[SOURCES_MOST] = {false};
    size_t listed = 0;
    for (size_t i = 0; i < board->source_count; i++)
        listed += board->sources[i].listed;
    size_t hot = (size_t)ceil(0.75 * (double)listed);
    hot = hot > readings / 2 ? readings / 2 : hot;
    while (board->reading_count < hot) {
        size_t source = hottest_unread(board, read);
        read[source] = true;
        reading_add(board, board->sources[source].x_mm, board->sources[source].y_mm, chance);
    }
    while (board->reading_count < readings)
        reading_add_spread(board, chance);
}
