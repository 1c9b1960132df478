/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sources put to the zones they heat. */
#include "life/heaters.h"

#include <math.h>

#include "core/memory.h"
#include "life/board_place.h"
#include "life/region.h"

static size_t held_index(double at, size_t count)
{
    return (size_t)fmin(fmax(floor(at), 0), (double)count - 1);
}

/* The hottest cell whose centre a source covers, else the cell nearest its own centre. */
static size_t hottest_under(const sf_source *source, const sf_grid *grid, const double *temps_c)
{
    double cell_mm = grid->cell_mm, reach_mm = hypot(source->width_mm, source->height_mm) / 2;
    size_t last_column = held_index((source->x_mm + reach_mm) / cell_mm, grid->columns);
    size_t last_row = held_index((source->y_mm + reach_mm) / cell_mm, grid->rows);
    size_t hottest = SF_NO_ZONE;
    for (size_t row = held_index((source->y_mm - reach_mm) / cell_mm, grid->rows); row <= last_row;
         row++) {
        size_t column = held_index((source->x_mm - reach_mm) / cell_mm, grid->columns);
        for (; column <= last_column; column++) {
            size_t cell = row * grid->columns + column;
            sf_point centre = {((double)column + 0.5) * cell_mm, ((double)row + 0.5) * cell_mm};
            if (!grid->inside[cell] || source_distance(source, centre.x_mm, centre.y_mm) > 0)
                continue;
            if (hottest == SF_NO_ZONE || temps_c[cell] > temps_c[hottest])
                hottest = cell;
        }
    }
    return hottest == SF_NO_ZONE ? cell_nearest(grid, source->x_mm, source->y_mm) : hottest;
}

sf_status footings_find(const sf_job *job, const sf_grid *grid, const double *temps_c,
                        const size_t *cell_zone, footing **footings)
{
    footing *found = *footings = array_new(job->source_count, sizeof *found);
    if (!found)
        return SF_ERROR_MEMORY;
    bool board = grid->columns * grid->rows > 0;
    for (size_t i = 0; i < job->source_count; i++) {
        size_t cell = board ? hottest_under(&job->sources[i], grid, temps_c) : SF_NO_ZONE;
        if (cell == SF_NO_ZONE)
            found[i] = (footing){SF_NO_ZONE, NAN};
        else
            found[i] = (footing){cell_zone[cell], temps_c[cell]};
    }
    return SF_OK;
}

/* Keeps the strongest in order; the earlier of equals first. */
static void add_heater(heaters *into, size_t source, const footing *footings)
{
    size_t held = into->count < HEATERS_NAMED ? into->count : HEATERS_NAMED;
    size_t place = held;
    while (place > 0 && footings[into->named[place - 1]].temp_c < footings[source].temp_c)
        place--;
    for (size_t i = held < HEATERS_NAMED ? held : held - 1; i > place; i--)
        into->named[i] = into->named[i - 1];
    if (place < HEATERS_NAMED)
        into->named[place] = source;
    into->count++;
}

heaters zone_heaters(const sf_zones *zones, size_t zone, const unsigned char *touches,
                     const footing *footings, size_t source_count)
{
    heaters found = {0};
    for (size_t i = 0; i < source_count; i++) {
        size_t stands = footings[i].zone;
        if (stands == SF_NO_ZONE)
            continue;
        bool hotter = zones->zones[stands].kind > zones->zones[zone].kind;
        if (stands == zone || (hotter && touches[stands]))
            add_heater(&found, i, footings);
    }
    return found;
}
