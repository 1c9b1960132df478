/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Labelling of connected cells, and the taking up of specks. */
#include "life/region.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "core/curve.h"
#include "core/memory.h"
#include "life/board_place.h"
#include "life/wear.h"

/* Specks that touch specks may need another round; a board has never needed as many. */
#define ROUNDS_MAX 16

sf_status regions_start(region_map *map, const sf_grid *grid)
{
    size_t count = grid->columns * grid->rows;
    *map = (region_map){.grid = grid};
    map->labels = array_new(count, sizeof *map->labels);
    map->cells = array_new(count, sizeof *map->cells);
    map->starts = array_new(count + 1, sizeof *map->starts);
    return map->labels && map->cells && map->starts ? SF_OK : SF_ERROR_MEMORY;
}

void regions_clear(region_map *map)
{
    free(map->labels);
    free(map->cells);
    free(map->starts);
    *map = (region_map){0};
}

size_t neighbours_of(const sf_grid *grid, size_t cell, size_t neighbours[4])
{
    size_t column = cell % grid->columns, row = cell / grid->columns, count = 0;
    if (column > 0 && grid->inside[cell - 1])
        neighbours[count++] = cell - 1;
    if (column + 1 < grid->columns && grid->inside[cell + 1])
        neighbours[count++] = cell + 1;
    if (row > 0 && grid->inside[cell - grid->columns])
        neighbours[count++] = cell - grid->columns;
    if (row + 1 < grid->rows && grid->inside[cell + grid->columns])
        neighbours[count++] = cell + grid->columns;
    return count;
}

/* Takes a cell into the last region, whose cells are those from its start to `filled`. */
static size_t take_cell(region_map *map, size_t cell, size_t filled)
{
    map->labels[cell] = map->count;
    map->cells[filled] = cell;
    return filled + 1;
}

static size_t flood(region_map *map, const unsigned char *kinds, size_t seed, size_t filled)
{
    size_t neighbours[4];
    size_t next = filled;
    filled = take_cell(map, seed, filled);
    for (; next < filled; next++) {
        size_t count = neighbours_of(map->grid, map->cells[next], neighbours);
        for (size_t i = 0; i < count; i++)
            if (map->labels[neighbours[i]] == SF_NO_ZONE && kinds[neighbours[i]] == kinds[seed])
                filled = take_cell(map, neighbours[i], filled);
    }
    return filled;
}

void regions_label(region_map *map, const unsigned char *kinds)
{
    const sf_grid *grid = map->grid;
    size_t count = grid->columns * grid->rows, filled = 0;
    map->count = 0;
    for (size_t cell = 0; cell < count; cell++)
        map->labels[cell] = SF_NO_ZONE;
    for (size_t cell = 0; cell < count; cell++) {
        if (!grid->inside[cell] || map->labels[cell] != SF_NO_ZONE)
            continue;
        filled = flood(map, kinds, cell, filled);
        map->starts[++map->count] = filled;
    }
}

static bool is_speck(const region_map *map, size_t region, const unsigned char *occupied,
                     double cells_least)
{
    size_t start = map->starts[region], end = map->starts[region + 1];
    if ((double)(end - start) >= cells_least)
        return false;
    for (size_t i = start; i < end; i++)
        if (occupied[map->cells[i]])
            return false;
    return true;
}

/* The kind a region has most border with; its own where it has no neighbour of another. */
static unsigned char surrounding_kind(const region_map *map, size_t region,
                                      const unsigned char *kinds)
{
    size_t borders[SF_ZONE_KIND_COUNT] = {0}, neighbours[4];
    unsigned char own = kinds[map->cells[map->starts[region]]], most = own;
    for (size_t i = map->starts[region]; i < map->starts[region + 1]; i++) {
        size_t count = neighbours_of(map->grid, map->cells[i], neighbours);
        for (size_t side = 0; side < count; side++)
            borders[kinds[neighbours[side]]]++;
    }
    borders[own] = 0;
    for (size_t kind = 0; kind < SF_ZONE_KIND_COUNT; kind++)
        if (borders[kind] > borders[most])
            most = (unsigned char)kind;
    return most;
}

/* One round over the regions as they were labelled; whether any changed. */
static bool absorb_specks(const region_map *map, unsigned char *kinds,
                          const unsigned char *occupied, double cells_least)
{
    bool changed = false;
    for (size_t region = 0; region < map->count; region++) {
        if (!is_speck(map, region, occupied, cells_least))
            continue;
        unsigned char own = kinds[map->cells[map->starts[region]]];
        unsigned char kind = surrounding_kind(map, region, kinds);
        for (size_t i = map->starts[region]; i < map->starts[region + 1]; i++)
            kinds[map->cells[i]] = kind;
        changed = changed || kind != own;
    }
    return changed;
}

void regions_without_specks(region_map *map, unsigned char *kinds, const unsigned char *occupied,
                            double cells_least)
{
    regions_label(map, kinds);
    for (int round = 0; round < ROUNDS_MAX; round++) {
        if (!absorb_specks(map, kinds, occupied, cells_least))
            break;
        regions_label(map, kinds);
    }
}

/* A place seen from the grid: the cell it falls in, held to the grid. */
typedef struct place {
    double x_mm, y_mm;
    size_t column, row;
} place;

static size_t index_of(double at_mm, double cell_mm, size_t count)
{
    return (size_t)fmin(fmax(floor(at_mm / cell_mm), 0), (double)count - 1);
}

static double distance_to(const sf_grid *grid, const place *from, size_t column, size_t row)
{
    return hypot(((double)column + 0.5) * grid->cell_mm - from->x_mm,
                 ((double)row + 0.5) * grid->cell_mm - from->y_mm);
}

/* Nearest cell of the board among those up to `reach` columns and rows away. */
static size_t nearest_within(const sf_grid *grid, const place *from, size_t reach, double *least_mm)
{
    size_t nearest = SF_NO_ZONE;
    size_t first_row = from->row > reach ? from->row - reach : 0;
    size_t first_column = from->column > reach ? from->column - reach : 0;
    *least_mm = INFINITY;
    for (size_t row = first_row; row < grid->rows && row <= from->row + reach; row++) {
        for (size_t column = first_column; column < grid->columns && column <= from->column + reach;
             column++) {
            double away_mm = distance_to(grid, from, column, row);
            if (grid->inside[row * grid->columns + column] && away_mm < *least_mm) {
                *least_mm = away_mm;
                nearest = row * grid->columns + column;
            }
        }
    }
    return nearest;
}

size_t cell_nearest(const sf_grid *grid, double x_mm, double y_mm)
{
    if (grid->columns * grid->rows == 0)
        return SF_NO_ZONE;
    place from = {x_mm, y_mm, index_of(x_mm, grid->cell_mm, grid->columns),
                  index_of(y_mm, grid->cell_mm, grid->rows)};
    size_t widest = grid->columns > grid->rows ? grid->columns : grid->rows;
    size_t nearest = from.row * grid->columns + from.column;
    if (grid->inside[nearest])
        return nearest;
    double away_mm = INFINITY;
    size_t reach = 1;
    nearest = nearest_within(grid, &from, reach, &away_mm);
    /* what lies beyond the square is at least `reach` cells away */
    while (away_mm > (double)reach * grid->cell_mm && reach < widest) {
        reach *= 2;
        nearest = nearest_within(grid, &from, reach, &away_mm);
    }
    return nearest;
}

/* --- sources put to the zones they heat --- */

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
    size_t rank = held;
    while (rank > 0 && footings[into->named[rank - 1]].temp_c < footings[source].temp_c)
        rank--;
    for (size_t i = held < HEATERS_NAMED ? held : held - 1; i > rank; i--)
        into->named[i] = into->named[i - 1];
    if (rank < HEATERS_NAMED)
        into->named[rank] = source;
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

/* --- the commonest grade, and the isotherms at which it wears out --- */

/* No board is colder or hotter. */
#define COLDEST_C (-100.0)
#define HOTTEST_C 1000.0

static int grade_compare(const void *a, const void *b)
{
    const grade *left = a, *right = b;
    int order = (left->rated_c > right->rated_c) - (left->rated_c < right->rated_c);
    if (order == 0)
        order = (left->endurance_h > right->endurance_h) - (left->endurance_h < right->endurance_h);
    if (order == 0)
        order = (left->doubling_k > right->doubling_k) - (left->doubling_k < right->doubling_k);
    return order;
}

/* The longest run of a sorted list, the first where several are. */
static grade longest_run(const grade *sorted, size_t count)
{
    size_t longest = 0, start = 0;
    grade commonest = sorted[0];
    for (size_t i = 0; i < count; i++) {
        if (grade_compare(&sorted[start], &sorted[i]) != 0)
            start = i;
        if (i - start + 1 > longest) {
            longest = i - start + 1;
            commonest = sorted[i];
        }
    }
    return commonest;
}

sf_status grade_commonest(const sf_job *job, const sf_part_result *results, grade *commonest)
{
    *commonest = (grade){85, job->policy.endurance_85_h, sf_life_doubling_k(SF_TYPE_ALUMINIUM)};
    grade *grades = array_new(job->part_count, sizeof *grades);
    if (!grades)
        return SF_ERROR_MEMORY;
    size_t worn_by_heat = 0;
    for (size_t i = 0; i < job->part_count; i++) {
        double doubling_k = sf_life_doubling_k(job->parts[i].type);
        if (!isnan(doubling_k))
            grades[worn_by_heat++] =
                (grade){job->parts[i].rated_c, results[i].endurance_h, doubling_k};
    }
    if (worn_by_heat > 0) {
        qsort(grades, worn_by_heat, sizeof *grades, grade_compare);
        *commonest = longest_run(grades, worn_by_heat);
    }
    free(grades);
    return SF_OK;
}

typedef struct search {
    wear worn;
    double log_share;
} search;

static double over_share(double rise_k, const void *context)
{
    const search *at = context;
    return wear_log_used(&at->worn, rise_k) - at->log_share;
}

double bound_temp_c(const sf_job *job, const grade *of, double share)
{
    history lived;
    history_start(&lived, job);
    run_time ran = board_run_time(job);
    if (isnan(ran.hours))
        return NAN;
    if (!(ran.hours > 0))
        return INFINITY;
    double air_c = sf_service_air_c(job);
    search at = {.worn = {.lived = &lived,
                          .stressed_h = ran.hours,
                          .life_rated_h = of->endurance_h,
                          .rated_c = of->rated_c,
                          .doubling_k = of->doubling_k,
                          .floor_c = job->policy.life_floor_c,
                          .cover_rise_k = job->policy.cover_rise_k},
                 .log_share = log(share)};
    double rise_k = rising_root(over_share, &at, COLDEST_C - air_c, HOTTEST_C - air_c);
    if (over_share(COLDEST_C - air_c, &at) >= 0)
        return -INFINITY;
    return over_share(HOTTEST_C - air_c, &at) < 0 ? (double)INFINITY : rise_k + air_c;
}
