/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The values of a map: their range, round levels and how they are written. */
#ifndef SPOTFIELD_OUTPUT_DRAW_SCALE_H
#define SPOTFIELD_OUTPUT_DRAW_SCALE_H

#include <stddef.h>

#include "output/draw/pens.h"

enum { SCALE_LEVELS_MAX = 12, SCALE_TEXT = 48 };

typedef struct value_scale {
    double low, high; /* ends of the colour bar */
    double step;      /* between levels */
    double levels[SCALE_LEVELS_MAX];
    size_t level_count;
    const char *unit; /* as it is drawn */
    colour_scale *colours;
} value_scale;

/* A scale for values from least to most. unit "C" is drawn with a degree sign. */
value_scale scale_make(double least, double most, const char *unit);

/* The same for changes: as far below zero as above it, in the colours of changes. */
value_scale scale_make_change(double least, double most, const char *unit);

/* Where a value lies on the colour bar: 0 low, 1 high, held between. */
double scale_share(const value_scale *scale, double value);

/* A level without its unit, as many decimals as the step asks for. */
void scale_write_level(const value_scale *scale, double value, char text[SCALE_TEXT]);

/* The step of round levels, 1, 2 or 5 times a power of ten, that puts at most ten between least
 * and most, and mostly five or more. */
double scale_step(double least, double most);

#endif
