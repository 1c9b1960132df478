/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tracing lines of equal value: each cell of the lattice ties the edges the line crosses, then the
 * ties are walked from end to end. */
#include "output/draw/contours.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "core/memory.h"

/* how far a line may be from the places it was traced through, in steps of the lattice, and how
 * many of these one straight piece may stand for */
static const double straight_within = 0.03;
enum { THINNED_MOST = 12 };

/* Edge 2n runs right from sample n, edge 2n + 1 down from it. */
typedef struct tracer {
    const lattice *on;
    double level;
    uint32_t (*ties)[2]; /* per edge the edges it is tied to, one more than their number; 0 none */
    uint32_t *crossed;   /* edges that have had a tie */
    size_t crossed_count, crossed_capacity;
} tracer;

static bool tie_one(tracer *with, uint32_t from, uint32_t to)
{
    uint32_t *ties = with->ties[from];
    if (ties[0] == 0 && ties[1] == 0) {
        uint32_t *made =
            array_add(&with->crossed, &with->crossed_count, &with->crossed_capacity, sizeof *made);
        if (!made)
            return false;
        *made = from;
    }
    ties[ties[0] == 0 ? 0 : 1] = to + 1;
    return true;
}

static bool tie(tracer *with, uint32_t a, uint32_t b)
{
    return tie_one(with, a, b) && tie_one(with, b, a);
}

/* sample n is the cell's upper left corner */
static bool tie_cell(tracer *with, size_t n)
{
    size_t columns = with->on->columns;
    const float *upper = with->on->values + n, *lower = upper + columns;
    double level = with->level;
    bool a = (double)upper[0] >= level, b = (double)upper[1] >= level;
    bool c = (double)lower[0] >= level, d = (double)lower[1] >= level;
    if (a == b && b == c && c == d)
        return true;
    uint32_t top = (uint32_t)(2 * n), left = top + 1, right = top + 3;
    uint32_t bottom = (uint32_t)(2 * (n + columns));
    if (a == d && b == c) {
        double mean =
            ((double)upper[0] + (double)upper[1] + (double)lower[0] + (double)lower[1]) / 4;
        if ((mean >= level) == a)
            return tie(with, top, right) && tie(with, left, bottom);
        return tie(with, top, left) && tie(with, right, bottom);
    }
    uint32_t crossed[4] = {0};
    int count = 0;
    if (a != b)
        crossed[count++] = top;
    if (a != c)
        crossed[count++] = left;
    if (b != d)
        crossed[count++] = right;
    if (c != d)
        crossed[count++] = bottom;
    return tie(with, crossed[0], crossed[1]);
}

static place crossing(const tracer *with, uint32_t edge)
{
    const lattice *on = with->on;
    size_t n = edge / 2, other = edge % 2 == 0 ? n + 1 : n + on->columns;
    double from = (double)on->values[n], to = (double)on->values[other];
    double share = (with->level - from) / (to - from);
    double column = (double)(n % on->columns) + (edge % 2 == 0 ? share : 0);
    double row = (double)(n / on->columns) + (edge % 2 == 0 ? 0 : share);
    return (place){on->left_px + column * on->step_px, on->top_px + row * on->step_px};
}

/* unties an edge from one of those it is tied to; false where it is tied to none */
static bool step_on(tracer *with, uint32_t *edge)
{
    uint32_t from = *edge, *ties = with->ties[from];
    int which = ties[0] != 0 ? 0 : 1;
    if (ties[which] == 0)
        return false;
    uint32_t to = ties[which] - 1, *back = with->ties[to];
    ties[which] = 0;
    back[back[0] == from + 1 ? 0 : 1] = 0;
    *edge = to;
    return true;
}

static bool add_place(contours *into, place added)
{
    place *made = array_add(&into->places, &into->place_count, &into->place_capacity, sizeof *made);
    if (made)
        *made = added;
    return made != NULL;
}

/* whether the places between two all lie within a distance of the straight line from one to the
 * other */
static bool is_straight(const place *places, size_t from, size_t to, double within_px)
{
    double along_x = places[to].x_px - places[from].x_px;
    double along_y = places[to].y_px - places[from].y_px;
    double most = within_px * sqrt(along_x * along_x + along_y * along_y);
    for (size_t i = from + 1; i < to; i++) {
        double across = along_x * (places[i].y_px - places[from].y_px) -
                        along_y * (places[i].x_px - places[from].x_px);
        if (!(fabs(across) < most))
            return false;
    }
    return true;
}

/* Drops places that a straight line between others stands for; returns how many are kept. */
static size_t thin_out(place *places, size_t count, double within_px)
{
    size_t kept = 1, from = 0;
    while (from + 1 < count) {
        size_t to = from + 1;
        while (to + 1 < count && to - from < THINNED_MOST &&
               is_straight(places, from, to + 1, within_px))
            to++;
        places[kept++] = places[to];
        from = to;
    }
    return kept;
}

static bool walk(tracer *with, uint32_t start, contours *into)
{
    contour *line = array_add(&into->lines, &into->count, &into->capacity, sizeof *line);
    if (!line)
        return false;
    *line = (contour){.level = with->level, .first = into->place_count};
    uint32_t edge = start;
    do {
        if (!add_place(into, crossing(with, edge)))
            return false;
    } while (step_on(with, &edge));
    line->closed = edge == start;
    line->count = thin_out(into->places + line->first, into->place_count - line->first,
                           straight_within * with->on->step_px);
    into->place_count = line->first + line->count;
    return true;
}

static bool is_end(const tracer *with, uint32_t edge)
{
    return (with->ties[edge][0] == 0) != (with->ties[edge][1] == 0);
}

/* open lines first, from their ends; what is then left are rings */
static bool walk_all(tracer *with, contours *into)
{
    bool whole = true;
    for (size_t i = 0; whole && i < with->crossed_count; i++)
        if (is_end(with, with->crossed[i]))
            whole = walk(with, with->crossed[i], into);
    for (size_t i = 0; whole && i < with->crossed_count; i++)
        if (with->ties[with->crossed[i]][0] != 0)
            whole = walk(with, with->crossed[i], into);
    with->crossed_count = 0;
    return whole;
}

/* How many levels lie at or below each sample: a line crosses a cell where its corners differ. */
static unsigned char *find_bands(const lattice *on, const double *levels, size_t level_count)
{
    size_t samples = on->columns * on->rows;
    unsigned char *bands = array_new(samples, 1);
    for (size_t n = 0; bands && n < samples; n++)
        for (size_t k = 0; k < level_count; k++)
            bands[n] += (double)on->values[n] >= levels[k];
    return bands;
}

/* Ties the cells that lines of this level can cross: those whose corners' bands differ. */
static bool trace_level(tracer *with, double level, const unsigned char *bands, contours *into)
{
    const lattice *on = with->on;
    with->level = level;
    for (size_t row = 0; row + 1 < on->rows; row++) {
        const unsigned char *upper = bands + row * on->columns, *lower = upper + on->columns;
        for (size_t column = 0; column + 1 < on->columns; column++)
            if (((upper[column] ^ upper[column + 1]) | (upper[column] ^ lower[column]) |
                 (upper[column] ^ lower[column + 1])) != 0 &&
                !tie_cell(with, row * on->columns + column))
                return false;
    }
    return walk_all(with, into);
}

sf_status contours_trace(const lattice *on, const double *levels, size_t level_count,
                         contours *into)
{
    tracer with = {.on = on};
    unsigned char *bands = find_bands(on, levels, level_count);
    with.ties = array_new(2 * on->columns * on->rows, sizeof *with.ties);
    bool whole = bands && with.ties;
    for (size_t i = 0; whole && i < level_count; i++)
        whole = trace_level(&with, levels[i], bands, into);
    free(bands);
    free(with.ties);
    free(with.crossed);
    return whole ? SF_OK : SF_ERROR_MEMORY;
}

void contours_free(contours *freed)
{
    free(freed->lines);
    free(freed->places);
    *freed = (contours){0};
}
