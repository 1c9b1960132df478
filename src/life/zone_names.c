/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Each zone is looked at for the sources that heat it and for the part of the board it takes up. */

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/text.h"
#include "life/board_place.h"
#include "life/region.h"
#include "spotfield/life.h"

/* --- words for a zone --- */

/* What tells a zone from others; all borrowed. */
typedef struct zone_setting {
    const sf_job *job;
    const sf_zone *zone;
    heaters by;
    board_place lies;
    bool divided; /* false where the board is not divided for want of run hours */
    bool alone;   /* no other zone */
} zone_setting;

static const char *part_around(const sf_job *job, double x_mm, double y_mm)
{
    const char *nearest = NULL;
    double least_mm = AROUND_MM;
    for (size_t i = 0; i < job->part_count; i++) {
        double away_mm = hypot(job->parts[i].x_mm - x_mm, job->parts[i].y_mm - y_mm);
        if (away_mm < least_mm) {
            least_mm = away_mm;
            nearest = job->parts[i].ref;
        }
    }
    return nearest;
}

/* "around U1", "around U1, D1 and R2"; of more than three "around U1, D1 and 5 more". */
static char *around_heaters(const sf_job *job, const heaters *by)
{
    text made = {0};
    size_t named = by->count > HEATERS_NAMED ? HEATERS_NAMED - 1 : by->count;
    for (size_t i = 0; i < named; i++) {
        bool last = i + 1 == by->count;
        text_add(&made, i == 0 ? "around " : last ? " and " : ", ");
        text_add(&made, job->sources[by->named[i]].ref);
    }
    if (named < by->count)
        text_addf(&made, " and %zu more", by->count - named);
    return text_take(&made);
}

/* By what is nearest the peak; where nothing is near, the part of the board. */
static char *around_peak(const zone_setting *of)
{
    double x_mm = of->zone->peak_x_mm, y_mm = of->zone->peak_y_mm;
    size_t source = source_around(of->job, x_mm, y_mm);
    const char *part = part_around(of->job, x_mm, y_mm);
    if (source != NO_SOURCE)
        return text_format("around %s", of->job->sources[source].ref);
    return part ? text_format("around %s", part) : text_copy(of->lies.name);
}

/* A hot or warm zone is called by the sources that heat it: "warm around U1, D1 and 5 more"; where
 * none stands in it by the source or part nearest its peak, else as a cool one by the part of the
 * board it takes up: "cool upper left". New text, NULL when memory is short. */
static char *zone_title(const zone_setting *of)
{
    const char *kind = sf_zone_kind_text(of->zone->kind);
    if (!of->divided)
        return text_copy("undivided board");
    if (of->alone)
        return text_format("%s everywhere", kind);
    if (of->zone->warmed_by != SF_NO_ZONE)
        return text_format(of->zone->kind == SF_ZONE_COOL ? "%s, nearest to %s" : "%s around %s",
                           kind, of->job->sources[of->zone->warmed_by].ref);
    if (of->zone->kind == SF_ZONE_COOL)
        return text_format("%s %s", kind, of->lies.name);
    char *place = of->by.count > 0 ? around_heaters(of->job, &of->by) : around_peak(of);
    char *title = place ? text_format("%s %s", kind, place) : NULL;
    free(place);
    return title;
}

/* The name of a zone: its title, counted where earlier zones share it: "hot around H3 (2)". New
 * text, NULL when memory is short. */
static char *zone_name(const char *title, size_t same_before)
{
    return same_before == 0 ? text_copy(title) : text_format("%s (%zu)", title, same_before + 1);
}

/* The first count of a sentence. */
static void add_first(text *into, size_t count, size_t total)
{
    if (total == 1)
        text_add(into, "the only part here");
    else if (count < total)
        text_addf(into, "%zu of the %zu here", count, total);
    else if (total == 2)
        text_add(into, "both here");
    else
        text_addf(into, "all %zu here", count);
}

static void add_act(text *into, const char *verb, size_t count, size_t total)
{
    if (count == 0)
        return;
    if (into->length > 0) {
        text_addf(into, ", %s %zu", verb, count);
        return;
    }
    text_addf(into, "%s ", verb);
    add_first(into, count, total);
}

static void add_left(text *into, size_t count, size_t total)
{
    if (count == 0)
        return;
    if (into->length == 0)
        add_first(into, count, total);
    else if (count == 1)
        text_add(into, "; the other one");
    else
        text_addf(into, "; the other %zu", count);
    text_add(into, count == 1 ? " stays" : " stay");
}

/* "replace the 7 here, check 2; the other 4 stay". New text, NULL when memory is short. */
static char *zone_sentence(const sf_zone *zone)
{
    text made = {0};
    add_act(&made, "replace", zone->verdicts[SF_REPLACE], zone->parts);
    add_act(&made, "check", zone->verdicts[SF_CHECK], zone->parts);
    add_left(&made, zone->verdicts[SF_LEAVE], zone->parts);
    if (zone->parts == 0)
        text_add(&made, "there is no part here");
    return text_take(&made);
}

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
