/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Pixels that are too cold for any board: bare metal, solder, wires. */
#ifndef SPOTFIELD_READINGS_COLD_H
#define SPOTFIELD_READINGS_COLD_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"
#include "readings/ground.h"
#include "spotfield/reading.h"

typedef enum patch_kind { PATCH_EMPTY, PATCH_SOUND, PATCH_COLD, PATCH_EDGE } patch_kind;

/* Means of the pixels on bare board, over squares wider than a pixel. */
typedef struct raster {
    double cell_mm;
    size_t columns, rows;
    double *mean_k;
    size_t *pixels;
    unsigned char *kinds; /* a patch_kind a square */
} raster;

/* Takes the pixels out of *from that lie on cold patches or at their edges, and fills its `cold`
 * and `patches`. `seen` tells how much bare board there is. False when memory is short. */
bool cold_leave_out(const sf_job *job, const ground *seen, sf_pixels *from);

/* Gathers the cold squares into patches; those that are colder on one side alone, beside something
 * hot, are sound again. False when memory is short. */
bool cold_patches_make(const sf_job *job, raster *of, sf_pixels *into);

/* "the patch at x 12 to 20, y 30 to 41 mm is colder than its surroundings by 9 K and looks like
 * bare metal". */
void cold_patch_tell(const sf_cold_patch *of, text *into);

/* Its ring as rows of mask.csv, `between` every two. */
void cold_patch_ring(const sf_cold_patch *of, size_t number, const char *between, text *into);

/* Whether a square is cold or next to one that is. */
bool beside_cold(const raster *of, size_t square);

#endif
