/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Each zone is looked at for the sources that heat it and for the part of the board it takes up. */
#include "life/zone_names.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "life/heaters.h"
#include "life/zone_words.h"

static extent cells_extent(const sf_grid *grid, const size_t *cells, size_t count)
{
    extent of = {INFINITY, -INFINITY, INFINITY, -INFINITY, 0, 0};
    double half_mm = grid->cell_mm / 2;
    for (size_t i = 0; i < count; i++) {
        double x_mm = ((double)(cells[i] % grid->columns) + 0.5) * grid->cell_mm;
        double y_mm = ((double)(cells[i] / grid->columns) + 0.5) * grid->cell_mm;
        of.least_x_mm = fmin(of.least_x_mm, x_mm - half_mm);
        of.most_x_mm = fmax(of.most_x_mm, x_mm + half_mm);
        of.least_y_mm = fmin(of.least_y_mm, y_mm - half_mm);
        of.most_y_mm = fmax(of.most_y_mm, y_mm + half_mm);
        of.centre_x_mm += x_mm / (double)count;
        of.centre_y_mm += y_mm / (double)count;
    }
    return of;
}

/* Marks the zones that share a side with a region. */
static void find_touching(const zone_survey *of, size_t region, const sf_zones *zones,
                          unsigned char *touches)
{
    size_t neighbours[4];
    memset(touches, 0, zones->count);
    for (size_t i = of->map->starts[region]; i < of->map->starts[region + 1]; i++) {
        size_t count = neighbours_of(of->grid, of->map->cells[i], neighbours);
        for (size_t side = 0; side < count; side++)
            touches[zones->cell_zone[neighbours[side]]] = 1;
    }
}

static size_t count_kind(const sf_zones *zones, sf_zone_kind kind)
{
    size_t count = 0;
    for (size_t i = 0; i < zones->count; i++)
        count += zones->zones[i].kind == kind;
    return count;
}

/* Finds the title of every zone, in the order of the zones. */
static sf_status find_titles(const zone_survey *of, const sf_zones *zones, const footing *footings,
                             unsigned char *touches, char **titles)
{
    const region_map *map = of->map;
    extent board = cells_extent(of->grid, map->cells, map->starts[map->count]);
    bool only_cool = count_kind(zones, SF_ZONE_COOL) == 1;
    sf_status status = SF_OK;
    for (size_t region = 0; region < map->count && status == SF_OK; region++) {
        size_t zone = of->ranks[region], start = map->starts[region];
        extent reach = cells_extent(of->grid, &map->cells[start], map->starts[region + 1] - start);
        bool rest = only_cool && zones->zones[zone].kind == SF_ZONE_COOL;
        find_touching(of, region, zones, touches);
        zone_setting setting = {
            .job = of->job,
            .zone = &zones->zones[zone],
            .by = zone_heaters(zones, zone, touches, footings, of->job->source_count),
            .lies = rest ? rest_place() : extent_place(&reach, &board),
            .divided = of->divided,
            .alone = zones->count == 1,
        };
        titles[zone] = zone_title(&setting);
        status = titles[zone] ? SF_OK : SF_ERROR_MEMORY;
    }
    return status;
}

static size_t same_before(char *const *titles, size_t zone)
{
    size_t count = 0;
    for (size_t i = 0; i < zone; i++)
        count += strcmp(titles[i], titles[zone]) == 0;
    return count;
}

static sf_status write_names(char *const *titles, sf_zones *zones)
{
    for (size_t i = 0; i < zones->count; i++) {
        sf_zone *zone = &zones->zones[i];
        zone->name = zone_name(titles[i], same_before(titles, i));
        zone->sentence = zone_sentence(zone);
        if (!zone->name || !zone->sentence)
            return SF_ERROR_MEMORY;
    }
    return SF_OK;
}

sf_status zones_name(const zone_survey *of, sf_zones *zones)
{
    footing *footings = NULL;
    unsigned char *touches = array_new(zones->count, sizeof *touches);
    char **titles = array_new(zones->count, sizeof *titles);
    sf_status status = touches && titles ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = footings_find(of->job, of->grid, of->temps_c, zones->cell_zone, &footings);
    if (status == SF_OK)
        status = find_titles(of, zones, footings, touches, titles);
    if (status == SF_OK)
        status = write_names(titles, zones);
    for (size_t i = 0; titles && i < zones->count; i++)
        free(titles[i]);
    free(titles);
    free(touches);
    free(footings);
    return status;
}
