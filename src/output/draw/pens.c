/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which 256 colours a picture has, and how a pen mixes with each of them. */
#include "output/draw/pens.h"

#include <limits.h>

#include "output/draw/colour.h"

const sf_colour pen_colours[PEN_COUNT] = {
    [PEN_PAPER] = {255, 255, 255}, [PEN_DARK] = {24, 26, 33},   [PEN_GREY] = {92, 97, 107},
    [PEN_PALE] = {208, 211, 216},  [PEN_ALERT] = {146, 14, 36},
};

enum { PAPER_STEPS = 13, ALERT_STEPS = 6, TINTS = 12 };

static const double tint_shares[] = {0.3, 0.55, 0.8};

static void add_colour(pen_table *table, sf_colour colour)
{
    if (table->count < PENS_COLOURS)
        table->colours[table->count++] = colour;
}

/* the steps of smooth edges between two colours, ends left out */
static void add_ramp(pen_table *table, sf_colour from, sf_colour to, int steps)
{
    for (int i = 1; i <= steps; i++)
        add_colour(table, colour_mix(from, to, i / (steps + 1.0)));
}

static void add_tints(pen_table *table, colour_scale *map, pen laid)
{
    for (int i = 0; i < TINTS; i++)
        for (size_t k = 0; k < sizeof tint_shares / sizeof tint_shares[0]; k++)
            add_colour(table,
                       colour_mix(map((i + 0.5) / TINTS), pen_colours[laid], tint_shares[k]));
}

/* the eye is keenest on green and dullest on blue: weights by common practice, no source */
enum { RED = 3, GREEN = 4, BLUE = 2, WEIGHTS = RED + GREEN + BLUE };

static int brightness(sf_colour colour)
{
    return RED * colour.red + GREEN * colour.green + BLUE * colour.blue;
}

static int distance(sf_colour one, sf_colour other)
{
    int red = one.red - other.red, green = one.green - other.green, blue = one.blue - other.blue;
    return RED * red * red + GREEN * green * green + BLUE * blue * blue;
}

static void sort_by_brightness(pen_table *table)
{
    for (int i = 0; i < table->count; i++) {
        int key = brightness(table->colours[i]), k = i;
        for (; k > 0 && table->keys[k - 1] > key; k--) {
            table->keys[k] = table->keys[k - 1];
            table->order[k] = table->order[k - 1];
        }
        table->keys[k] = key;
        table->order[k] = (unsigned char)i;
    }
}

void pen_table_fill(pen_table *table, colour_scale *map)
{
    *table = (pen_table){0};
    add_colour(table, pen_colours[PEN_PAPER]);
    for (int i = 0; i < PENS_MAP_COLOURS; i++)
        add_colour(table, map(i / (PENS_MAP_COLOURS - 1.0)));
    for (int laid = PEN_PAPER + 1; laid < PEN_COUNT; laid++)
        add_colour(table, pen_colours[laid]);
    add_ramp(table, pen_colours[PEN_PAPER], pen_colours[PEN_DARK], PAPER_STEPS);
    add_ramp(table, pen_colours[PEN_PAPER], pen_colours[PEN_ALERT], ALERT_STEPS);
    add_tints(table, map, PEN_PAPER);
    add_tints(table, map, PEN_DARK);
    sort_by_brightness(table);
}

/* the first place in the order whose colour is at least so bright */
static int place_in_order(const pen_table *table, int key)
{
    int low = 0, high = table->count;
    while (low < high) {
        int middle = (low + high) / 2;
        if (table->keys[middle] < key)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* Colours of like brightness are tried first, on both sides. One whose brightness differs by d is
 * at least d^2 / WEIGHTS away (Cauchy's inequality), so that the search ends early. */
static int nearest(const pen_table *table, sf_colour wanted)
{
    int key = brightness(wanted), best = 0, least = INT_MAX;
    int up = place_in_order(table, key), down = up - 1;
    while (up < table->count || down >= 0) {
        int above = up < table->count ? table->keys[up] - key : INT_MAX;
        int below = down >= 0 ? key - table->keys[down] : INT_MAX;
        int gap = above < below ? above : below;
        if (gap * gap / WEIGHTS >= least)
            break;
        int tried = table->order[above < below ? up++ : down--];
        int away = distance(table->colours[tried], wanted);
        if (away < least) {
            least = away;
            best = tried;
        }
    }
    return best;
}

unsigned char pen_table_find(pen_table *table, pen laid, int level, unsigned char under)
{
    double share = level / (double)PENS_LEVELS;
    int found = nearest(table, colour_mix(table->colours[under], pen_colours[laid], share));
    table->mixes[laid][level][under] = (unsigned short)(found + 1);
    return (unsigned char)found;
}

unsigned char pen_map_index(double share)
{
    double step = share * PENS_MAP_COLOURS;
    int held = step >= PENS_MAP_COLOURS - 1 ? PENS_MAP_COLOURS - 1 : step > 0 ? (int)step : 0;
    return (unsigned char)(PENS_MAP_FIRST + held);
}

pen pen_over_map(colour_scale *map, double share)
{
    sf_colour ground = map(share);
    double dark = colour_contrast(ground, pen_colours[PEN_DARK]);
    return dark > colour_contrast(ground, pen_colours[PEN_PAPER]) ? PEN_DARK : PEN_PAPER;
}
