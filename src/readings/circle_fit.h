/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A circle through the edges that lie about a middle. */
#ifndef SPOTFIELD_READINGS_CIRCLE_FIT_H
#define SPOTFIELD_READINGS_CIRCLE_FIT_H

#include <stdbool.h>

#include "readings/circles.h"

/* A pixel with the direction of its gradient, one long; (0, 0): no edge. */
typedef struct edge {
    float across, down;
} edge;

typedef struct edge_map {
    int columns, rows;
    edge *at; /* row by row */
} edge_map;

/* Draws a circle from its middle, near enough, to the one with most edges whose radius lies between
 * these; and sets how much of it shows. False where there is none. Kasa, IEEE Trans. IM-25
 * (1976) 8. */
bool circle_settle(const edge_map *in, double least_px, double most_px, circle *of);

#endif
