/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What zones are made of: connected regions of a grid, cells of one sf_zone_kind that hang together
 * by their sides; their sources, bounds and names. */
#ifndef SPOTFIELD_LIFE_REGION_H
#define SPOTFIELD_LIFE_REGION_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/life.h"
#include "spotfield/status.h"

/* The cells of region i are cells[starts[i]] to cells[starts[i + 1] - 1]. */
typedef struct region_map {
    const sf_grid *grid; /* borrowed */
    size_t count;
    size_t *labels; /* per cell of the grid: its region; SF_NO_ZONE outside */
    size_t *cells;
    size_t *starts;
} region_map;

/* Cells of the board that share a side with a cell; returns how many. */
size_t neighbours_of(const sf_grid *grid, size_t cell, size_t neighbours[4]);

/* Makes room for a grid; end with regions_clear also on failure. SF_ERROR_MEMORY. */
sf_status regions_start(region_map *map, const sf_grid *grid);
void regions_clear(region_map *map);

/* Finds the regions of cells that share a kind. */
void regions_label(region_map *map, const unsigned char *kinds);

/* Labels regions and gives those of fewer than cells_least cells, none of them occupied, the kind
 * they have most border with, until none is left that has a neighbour. */
void regions_without_specks(region_map *map, unsigned char *kinds, const unsigned char *occupied,
                            double cells_least);

/* Nearest cell of the board to a place; SF_NO_ZONE where the grid has none. */
size_t cell_nearest(const sf_grid *grid, double x_mm, double y_mm);

/* --- sources put to the zones they heat --- */

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

/* --- the temperatures at which a board's commonest part has used a share of its life --- */

typedef struct grade {
    double rated_c, endurance_h, doubling_k;
} grade;

/* The grade that most parts which heat wears share, the shorter-lived where several do; without
 * parts the one assumed for an unmarked 85 C part. SF_ERROR_MEMORY. */
sf_status grade_commonest(const sf_job *job, const sf_part_result *results, grade *commonest);

/* Service temperature from which such a part, stressed in all hours the board has run, has used
 * at least `share` of its life. -INFINITY where the floor of the law makes that so everywhere,
 * INFINITY where it is so nowhere, NAN where the hours are unknown. */
double bound_temp_c(const sf_job *job, const grade *of, double share);

/* --- names of zones, and a sentence on each --- */

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
