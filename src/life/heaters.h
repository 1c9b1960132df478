/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which heat sources make a zone warm. */
#ifndef SPOTFIELD_LIFE_HEATERS_H
#define SPOTFIELD_LIFE_HEATERS_H

#include <stddef.h>

#include "spotfield/life.h"
#include "spotfield/status.h"

/* Where a source stands: the zone of the hottest cell under it, and how hot that is. */
typedef struct footing {
    size_t zone; /* SF_NO_ZONE on a grid without board */
    double temp_c;
} footing;

/* The footing of each source of a job: a new array freed with free(). temps_c and cell_zone are
 * per cell. SF_ERROR_MEMORY. */
sf_status footings_find(const sf_job *job, const sf_grid *grid, const double *temps_c,
                        const size_t *cell_zone, footing **footings);

enum { HEATERS_NAMED = 3 };

/* The sources that heat a zone: how many, and the strongest of them, which stand hottest. */
typedef struct heaters {
    size_t count;
    size_t named[HEATERS_NAMED]; /* indices into the job's sources, strongest first */
} heaters;

/* Those that stand in the zone, or in a hotter one that it touches; touches tells for each zone
 * whether it does. */
heaters zone_heaters(const sf_zones *zones, size_t zone, const unsigned char *touches,
                     const footing *footings, size_t source_count);

#endif
