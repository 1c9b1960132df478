/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Choosing round levels. */
#include "output/draw/scale.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LEVELS_WANTED = 10, FINER = 5 };

/* a board that stayed as it was shows no tenths of a kelvin in strong colours */
#define CHANGE_LEAST 1.0

static double levels_between(double least, double most, double step)
{
    return floor(most / step) - ceil(least / step) + 1;
}

double scale_step(double least, double most)
{
    static const double round_steps[] = {1, 2, 5};
    double wanted = (most - least) / LEVELS_WANTED;
    if (!(wanted > 0))
        return 1;
    double ten = pow(10, floor(log10(wanted)));
    for (int i = 0; i < 3; i++)
        if (levels_between(least, most, round_steps[i] * ten) <= LEVELS_WANTED)
            return round_steps[i] * ten;
    return 10 * ten;
}

value_scale scale_make(double least, double most, const char *unit)
{
    value_scale made = {.unit = strcmp(unit, "C") == 0 ? "\u00b0C" : unit,
                        .colours = sf_palette_colour};
    /* a field without relief still needs a bar of some height */
    double padded_field = fmax(most - least, 1e-6 * fmax(1, fabs(most)));
    made.step = scale_step(least, least + padded_field);
    double fine = made.step / FINER;
    made.low = fine * floor(least / fine);
    made.high = fine * ceil((least + padded_field) / fine);
    for (double k = ceil(least / made.step); made.step * k <= least + padded_field; k++)
        if (made.level_count < SCALE_LEVELS_MAX)
            made.levels[made.level_count++] = made.step * k;
    return made;
}

value_scale scale_make_change(double least, double most, const char *unit)
{
    double reach = fmax(fmax(fabs(least), fabs(most)), CHANGE_LEAST);
    value_scale made = scale_make(-reach, reach, unit);
    made.colours = sf_change_colour;
    return made;
}

double scale_share(const value_scale *scale, double value)
{
    return fmin(fmax((value - scale->low) / (scale->high - scale->low), 0), 1);
}

void scale_write_level(const value_scale *scale, double value, char text[SCALE_TEXT])
{
    int decimals = (int)fmax(0, ceil(-log10(scale->step) - 1e-9));
    /* adding nothing turns a minus zero into zero */
    snprintf(text, SCALE_TEXT, "%.*f", decimals, value + 0.0);
}
