/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Names and sentences for the zones of a board. */
#ifndef SPOTFIELD_LIFE_ZONE_NAMES_H
#define SPOTFIELD_LIFE_ZONE_NAMES_H

#include <stdbool.h>

#include "life/region.h"
#include "spotfield/life.h"

/* What the names rest on; all borrowed. */
typedef struct zone_survey {
    const sf_job *job;
    const sf_grid *grid;
    const double *temps_c;
    const region_map *map;
    const size_t *ranks; /* per region of the map: its zone */
    bool divided;        /* false where run hours are wanting */
} zone_survey;

/* Names each zone by what heats it, a cool one by where it lies, all apart from one another, and
 * says what is to be done in it. Zones, their parts and cell_zone must stand. SF_ERROR_MEMORY,
 * which leaves some names NULL. */
sf_status zones_name(const zone_survey *of, sf_zones *zones);

#endif
