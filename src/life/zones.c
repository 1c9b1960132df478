/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Zones: the board divided by its own heat, and beside it what that does to the commonest part. */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "core/memory.h"
#include "life/board_place.h"
#include "life/region.h"
#include "spotfield/life.h"

/* A region smaller than this without a part belongs to what lies around it. */
#define SPECK_MM2 40.0
/* Less from the coldest to the hottest cell is no heat to divide by; our choice. */
#define ALIKE_K 1.0
/* A zone with this share of the parts says nothing of where they are. */
#define CROWD_SHARE 0.5
/* So many of the hottest sources split it. */
enum { SPLITTERS_MAX = 4 };

static const char *const kind_texts[SF_ZONE_KIND_COUNT] = {
    [SF_ZONE_COOL] = "cool",
    [SF_ZONE_WARM] = "warm",
    [SF_ZONE_HOT] = "hot",
};

const char *sf_zone_kind_text(sf_zone_kind kind)
{
    if ((int)kind < 0 || kind >= SF_ZONE_KIND_COUNT)
        return "";
    return kind_texts[kind];
}

/* What the division works on; borrowed but for the arrays, which are its own. */
typedef struct division {
    const sf_job *job;
    const sf_part_result *results;
    const sf_grid *grid;
    const double *temps_c;
    double hot_zone_c, warm_zone_c; /* NAN: all alike */
    unsigned char *kinds;           /* per cell */
    unsigned char *keys;            /* per cell: kind, and the splitter where one splits its zone */
    size_t splitters[SPLITTERS_MAX]; /* sources, the hottest first */
    size_t splitter_count;
    unsigned char *occupied; /* per cell, whether a part stands on it */
    size_t *part_cells;      /* per part */
    region_map map;
} division;

static size_t cell_count(const sf_grid *grid)
{
    return grid->columns * grid->rows;
}

static void division_clear(division *of)
{
    free(of->kinds);
    free(of->keys);
    free(of->occupied);
    free(of->part_cells);
    regions_clear(&of->map);
}

static sf_status division_start(division *of)
{
    of->kinds = array_new(cell_count(of->grid), sizeof *of->kinds);
    of->occupied = array_new(cell_count(of->grid), sizeof *of->occupied);
    of->part_cells = array_new(of->job->part_count, sizeof *of->part_cells);
    of->keys = array_new(cell_count(of->grid), sizeof *of->keys);
    if (!of->kinds || !of->keys || !of->occupied || !of->part_cells)
        return SF_ERROR_MEMORY;
    return regions_start(&of->map, of->grid);
}

static void find_regions(division *of)
{
    for (size_t cell = 0; cell < cell_count(of->grid); cell++) {
        double temp_c = of->temps_c[cell];
        of->kinds[cell] = temp_c >= of->hot_zone_c    ? SF_ZONE_HOT
                          : temp_c >= of->warm_zone_c ? SF_ZONE_WARM
                                                      : SF_ZONE_COOL;
    }
    for (size_t i = 0; i < of->job->part_count; i++) {
        const sf_part *part = &of->job->parts[i];
        of->part_cells[i] = cell_nearest(of->grid, part->x_mm, part->y_mm);
        if (of->part_cells[i] != SF_NO_ZONE)
            of->occupied[of->part_cells[i]] = 1;
    }
    double cell_mm2 = of->grid->cell_mm * of->grid->cell_mm;
    regions_without_specks(&of->map, of->kinds, of->occupied, SPECK_MM2 / cell_mm2);
}

/* Temperature under the middle of a source. */
static double source_c(const division *of, size_t source)
{
    const sf_source *at = &of->job->sources[source];
    size_t cell = cell_nearest(of->grid, at->x_mm, at->y_mm);
    return cell == SF_NO_ZONE ? -INFINITY : of->temps_c[cell];
}

static void find_splitters(division *of)
{
    for (size_t i = 0; i < of->job->source_count; i++) {
        size_t place = of->splitter_count;
        if (place < SPLITTERS_MAX)
            of->splitter_count++;
        else if (source_c(of, of->splitters[--place]) >= source_c(of, i))
            continue;
        for (; place > 0 && source_c(of, of->splitters[place - 1]) < source_c(of, i); place--)
            of->splitters[place] = of->splitters[place - 1];
        of->splitters[place] = i;
    }
}

/* Place among the splitters of the one nearest to a cell. */
static size_t splitter_of(const division *of, size_t cell)
{
    sf_point at = {((double)(cell % of->grid->columns) + 0.5) * of->grid->cell_mm,
                   ((double)(cell / of->grid->columns) + 0.5) * of->grid->cell_mm};
    size_t nearest = 0;
    double least_mm = INFINITY;
    for (size_t i = 0; i < of->splitter_count; i++) {
        double away_mm = source_distance(&of->job->sources[of->splitters[i]], at.x_mm, at.y_mm);
        if (away_mm < least_mm) {
            least_mm = away_mm;
            nearest = i;
        }
    }
    return nearest;
}

static bool is_crowd(const division *of, size_t region)
{
    size_t parts = 0;
    for (size_t i = 0; i < of->job->part_count; i++)
        parts += of->part_cells[i] != SF_NO_ZONE && of->map.labels[of->part_cells[i]] == region;
    return parts > 1 && (double)parts >= CROWD_SHARE * (double)of->job->part_count;
}

/* Splits each region that holds half of the parts by the source that warms it. */
static void split_crowds(division *of)
{
    bool split = false;
    find_splitters(of);
    for (size_t cell = 0; cell < cell_count(of->grid); cell++)
        of->keys[cell] = of->kinds[cell];
    for (size_t region = 0; region < of->map.count && of->splitter_count > 1; region++) {
        if (!is_crowd(of, region))
            continue;
        split = true;
        for (size_t i = of->map.starts[region]; i < of->map.starts[region + 1]; i++) {
            size_t cell = of->map.cells[i];
            size_t key = of->kinds[cell] + SF_ZONE_KIND_COUNT * (1 + splitter_of(of, cell));
            of->keys[cell] = (unsigned char)key;
        }
    }
    if (split)
        regions_label(&of->map, of->keys);
}

/* The source that a cell was split off by. */
static size_t split_by(const division *of, size_t cell)
{
    size_t key = of->keys[cell] / SF_ZONE_KIND_COUNT;
    return key == 0 ? SF_NO_ZONE : of->splitters[key - 1];
}

/* A zone on its way to its place in the list. */
typedef struct draft {
    sf_zone zone;
    size_t region;
} draft;

static sf_zone measure_region(const division *of, size_t region)
{
    const region_map *map = &of->map;
    size_t start = map->starts[region], end = map->starts[region + 1];
    size_t peak = map->cells[start];
    for (size_t i = start; i < end; i++)
        if (of->temps_c[map->cells[i]] > of->temps_c[peak])
            peak = map->cells[i];
    double cell_mm = of->grid->cell_mm;
    return (sf_zone){
        .kind = (sf_zone_kind)of->kinds[peak],
        .warmed_by = split_by(of, peak),
        .area_mm2 = (double)(end - start) * cell_mm * cell_mm,
        .peak_c = of->temps_c[peak],
        .peak_x_mm = ((double)(peak % of->grid->columns) + 0.5) * cell_mm,
        .peak_y_mm = ((double)(peak / of->grid->columns) + 0.5) * cell_mm,
    };
}

/* Hot before warm before cool, then the larger peak; the place settles ties. */
static int compare_drafts(const void *a, const void *b)
{
    const draft *left = a, *right = b;
    if (left->zone.kind != right->zone.kind)
        return (int)right->zone.kind - (int)left->zone.kind;
    if (left->zone.peak_c != right->zone.peak_c)
        return left->zone.peak_c < right->zone.peak_c ? 1 : -1;
    return left->region < right->region ? -1 : 1;
}

/* Puts the regions in order; *ranks tells the place of each, freed with free(). */
static sf_status rank_regions(const division *of, sf_zones *zones, size_t **ranks)
{
    size_t count = of->map.count;
    sf_status status = SF_ERROR_MEMORY;
    draft *drafts = array_new(count, sizeof *drafts);
    *ranks = array_new(count, sizeof **ranks);
    zones->zones = array_new(count, sizeof *zones->zones);
    if (drafts && *ranks && zones->zones) {
        for (size_t region = 0; region < count; region++)
            drafts[region] = (draft){measure_region(of, region), region};
        qsort(drafts, count, sizeof *drafts, compare_drafts);
        for (size_t rank = 0; rank < count; rank++) {
            zones->zones[rank] = drafts[rank].zone;
            (*ranks)[drafts[rank].region] = rank;
        }
        zones->count = count;
        status = SF_OK;
    }
    free(drafts);
    return status;
}

/* Tells each cell and part its zone, and each zone its parts. */
static void place_parts(const division *of, const size_t *ranks, sf_zones *zones)
{
    for (size_t cell = 0; cell < zones->cell_count; cell++) {
        size_t region = of->map.labels[cell];
        zones->cell_zone[cell] = region == SF_NO_ZONE ? SF_NO_ZONE : ranks[region];
    }
    for (size_t i = 0; i < zones->part_count; i++) {
        size_t cell = of->part_cells[i];
        zones->part_zone[i] = cell == SF_NO_ZONE ? SF_NO_ZONE : zones->cell_zone[cell];
        if (zones->part_zone[i] == SF_NO_ZONE)
            continue;
        zones->zones[zones->part_zone[i]].parts++;
        zones->zones[zones->part_zone[i]].verdicts[of->results[i].verdict]++;
    }
}

static sf_status fill_zones(division *of, sf_zones *zones)
{
    zones->cell_count = cell_count(of->grid);
    zones->part_count = of->job->part_count;
    zones->cell_zone = array_new(zones->cell_count, sizeof *zones->cell_zone);
    zones->part_zone = array_new(zones->part_count, sizeof *zones->part_zone);
    if (!zones->cell_zone || !zones->part_zone)
        return SF_ERROR_MEMORY;
    size_t *ranks = NULL;
    sf_status status = rank_regions(of, zones, &ranks);
    if (status == SF_OK) {
        place_parts(of, ranks, zones);
        zone_survey survey = {of->job,  of->grid, of->temps_c,
                              &of->map, ranks,    !isnan(of->hot_zone_c)};
        status = zones_name(&survey, zones);
    }
    free(ranks);
    return status;
}

static sf_status set_bounds(division *of, sf_zones *zones)
{
    grade commonest;
    sf_status status = grade_commonest(of->job, of->results, &commonest);
    if (status != SF_OK)
        return status;
    zones->rated_c = commonest.rated_c;
    zones->endurance_h = commonest.endurance_h;
    zones->hot_from_c = bound_temp_c(of->job, &commonest, 1);
    zones->warm_from_c = bound_temp_c(of->job, &commonest, of->job->policy.zone_warm_used);
    return SF_OK;
}

/* The temperatures that part the hottest and the coolest of the area from the rest. On a plateau
 * the coldest cell is cool whatever its share, and the hottest hot. */
static sf_status set_heat_bounds(division *of, sf_zones *zones)
{
    const sf_policy *policy = &of->job->policy;
    double *sorted = array_new(cell_count(of->grid), sizeof *sorted);
    size_t count = 0;
    if (!sorted)
        return SF_ERROR_MEMORY;
    for (size_t cell = 0; cell < cell_count(of->grid); cell++)
        if (of->grid->inside[cell])
            sorted[count++] = of->temps_c[cell];
    of->hot_zone_c = of->warm_zone_c = NAN;
    gsl_sort(sorted, 1, count);
    if (count > 0 && sorted[count - 1] - sorted[0] >= ALIKE_K) {
        double above_c = nextafter(sorted[0], INFINITY);
        double hot_c =
            gsl_stats_quantile_from_sorted_data(sorted, 1, count, 1 - policy->zone_hot_pct / 100);
        double warm_c =
            gsl_stats_quantile_from_sorted_data(sorted, 1, count, policy->zone_cool_pct / 100);
        of->hot_zone_c = fmax(hot_c, above_c);
        of->warm_zone_c = fmax(warm_c, above_c);
    }
    zones->hot_zone_c = of->hot_zone_c;
    zones->warm_zone_c = of->warm_zone_c;
    free(sorted);
    return SF_OK;
}

sf_status sf_zones_find(const sf_job *job, const sf_part_result *results, const sf_grid *grid,
                        const double *temps_c, sf_zones **zones)
{
    *zones = NULL;
    sf_zones *found = array_new(1, sizeof *found);
    if (!found)
        return SF_ERROR_MEMORY;
    division of = {.job = job, .results = results, .grid = grid, .temps_c = temps_c};
    sf_status status = set_bounds(&of, found);
    if (status == SF_OK)
        status = set_heat_bounds(&of, found);
    if (status == SF_OK)
        status = division_start(&of);
    if (status == SF_OK) {
        find_regions(&of);
        split_crowds(&of);
        status = fill_zones(&of, found);
    }
    division_clear(&of);
    if (status == SF_OK)
        *zones = found;
    else
        sf_zones_free(found);
    return status;
}

void sf_zones_free(sf_zones *zones)
{
    if (!zones)
        return;
    for (size_t i = 0; i < zones->count; i++) {
        free(zones->zones[i].name);
        free(zones->zones[i].sentence);
    }
    free(zones->zones);
    free(zones->cell_zone);
    free(zones->part_zone);
    free(zones);
}
