/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What stands and lies on real boards and in no list: wires, solder, shields, bare lids, and at
 * times a hot body that nobody listed. */
#ifndef BENCHMARK_CLUTTER_H
#define BENCHMARK_CLUTTER_H

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stddef.h>

#include "benchmark/camera.h"
#include "benchmark/table.h"

enum { CLUTTER_MOST = 32 };

typedef enum clutter_kind {
    CLUTTER_WIRE,
    CLUTTER_SOLDER,
    CLUTTER_SHIELD,
    CLUTTER_LID,
    CLUTTER_HOT
} clutter_kind;

/* One such thing; its temperature is told by a share of the rise of the board below it. */
typedef struct stray {
    clutter_kind kind;
    body stands;
    double rise_share;
    double watts; /* into the board */
} stray;

typedef struct clutter {
    stray strays[CLUTTER_MOST];
    size_t count;
} clutter;

/* Draws what lies on a board of width and height, clear of the listed sources and parts. */
void clutter_lay(const table *sources, const table *parts, double width_mm, double height_mm,
                 gsl_rng *chance, clutter *laid);

/* Gives the board the heat of the hot body. */
void clutter_heat(const clutter *laid, plate *heated);

/* Writes truth-mask.csv, a ring about each but the hot body as a technician would trace it, and
 * truth-clutter.csv into the folder; false where that fails. */
bool clutter_write(const clutter *laid, double width_mm, double height_mm, const char *folder);

#endif
