/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A board with many more readings than a scene holds, one smooth field under them. */
#ifndef SPOTFIELD_TESTS_FIELD_CROWDED_H
#define SPOTFIELD_TESTS_FIELD_CROWDED_H

#include "field/boards.h"

#define CROWDED_SOURCES 2

typedef struct crowded {
    sf_board board;
    sf_point corners[4];
    sf_ring edge;
    sf_source sources[CROWDED_SOURCES];
    sf_observation *seen;
    sf_field_input input;
} crowded;

/* 120 x 90 mm with `count` readings, evenly spread, of a field that is a sum of bumps, each off by
 * a normal number times its sd of 0.4 K. It must not be moved in memory afterwards. */
void crowded_set(crowded *into, size_t count);
void crowded_clear(crowded *made);

/* What the field is that was read. */
double crowded_rise_k(const crowded *of, double x_mm, double y_mm);

#endif
