/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finds where a bead or an infrared spot has room. */
#include "life/probe.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_math.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "life/board_place.h"

/* Judgements: what a bead, its tape and a hand need. */
#define RULER_MM 0.5
#define EDGE_MM 2.0          /* of free board around a reading */
#define BESIDE_MM 2.0        /* from a can to the bead beside it */
#define BODY_MM 1.0          /* clear of cans and bodies */
#define KEEPOUT_MM 5.0       /* so close to a no-touch area counts as in it */
#define GRID_MM 8.0          /* finest spacing off parts */
#define PARTS_MOST 200       /* of the list; with more of them every so many */
#define SOURCES_MOST 60      /* of the list */
#define DIRECTIONS 16        /* tried about a can */
#define CLEARANCE_ENOUGH 6.0 /* mm; more room is no better */

#define NOBODY ((size_t)-1)

static double on_ruler(double at_mm)
{
    return round(at_mm / RULER_MM) * RULER_MM;
}

static double edge_distance(const sf_job *job, sf_point place)
{
    double nearest = INFINITY;
    for (size_t r = 0; r < job->ring_count; r++) {
        const sf_ring *ring = &job->rings[r];
        for (size_t i = 0, before = ring->count - 1; i < ring->count; before = i++)
            nearest = fmin(nearest, segment_distance(place, ring->points[before], ring->points[i]));
    }
    return nearest;
}

/* Room about a place up to the nearest can, body, edge or slot, each beyond what it needs; below
 * zero where the place will not do. `source` is a source that may stand there, or NOBODY. */
static double clearance(const sf_job *job, sf_point place, size_t source)
{
    if (!board_contains(job->rings, job->ring_count, place.x_mm, place.y_mm))
        return -1;
    double room = edge_distance(job, place) - EDGE_MM;
    for (size_t i = 0; i < job->part_count && room >= 0; i++) {
        const sf_part *part = &job->parts[i];
        double off = hypot(place.x_mm - part->x_mm, place.y_mm - part->y_mm);
        room = fmin(room, off - part->diameter_mm / 2 - BODY_MM);
    }
    for (size_t j = 0; j < job->source_count && room >= 0; j++)
        if (j != source)
            room = fmin(room, source_distance(&job->sources[j], place.x_mm, place.y_mm) - BODY_MM);
    return room;
}

/* The no-touch area that a place lies in or that comes so close to it, or NULL. */
static const sf_ring *keepout_within(const sf_job *job, sf_point place, double close_mm)
{
    for (size_t k = 0; k < job->keepout_count; k++) {
        const sf_ring *ring = &job->keepouts[k];
        if (ring_contains(ring, place.x_mm, place.y_mm))
            return ring;
        for (size_t i = 0, before = ring->count - 1; i < ring->count; before = i++)
            if (segment_distance(place, ring->points[before], ring->points[i]) < close_mm)
                return ring;
    }
    return NULL;
}

static void add_probe(const sf_job *job, probes *found, probe_spot spot, size_t index,
                      sf_point place, sf_method method)
{
    const sf_ring *keepout = keepout_within(job, place, KEEPOUT_MM);
    found->list[found->count++] =
        (probe){place, spot, index, keepout ? SF_METHOD_INFRARED : method, keepout};
}

static const sf_ring *can_keepout(const sf_job *job, const sf_part *part)
{
    sf_point place = {part->x_mm, part->y_mm};
    return keepout_within(job, place, part->diameter_mm / 2 + KEEPOUT_MM);
}

sf_method can_method(const sf_job *job, const sf_part *part, sf_method method)
{
    return can_keepout(job, part) ? SF_METHOD_INFRARED : method;
}

static void add_can(const sf_job *job, probes *found, size_t part, sf_method method)
{
    const sf_part *can = &job->parts[part];
    const sf_ring *keepout = can_keepout(job, can);
    found->list[found->count++] = (probe){{on_ruler(can->x_mm), on_ruler(can->y_mm)},
                                          PROBE_CAN,
                                          part,
                                          keepout ? SF_METHOD_INFRARED : method,
                                          keepout};
}

/* Beside a can, on the side with the most room. */
static void add_beside(const sf_job *job, probes *found, size_t part, sf_method method)
{
    const sf_part *can = &job->parts[part];
    double reach_mm = can->diameter_mm / 2 + BESIDE_MM, best = -1;
    sf_point chosen = {0};
    for (int i = 0; i < DIRECTIONS; i++) {
        double angle = 2 * M_PI * i / DIRECTIONS;
        sf_point place = {on_ruler(can->x_mm + reach_mm * cos(angle)),
                          on_ruler(can->y_mm + reach_mm * sin(angle))};
        double room = fmin(clearance(job, place, NOBODY), CLEARANCE_ENOUGH);
        if (room >= 0 && room > best) {
            best = room;
            chosen = place;
        }
    }
    if (best >= 0)
        add_probe(job, found, PROBE_PART, part, chosen, method);
}

static void add_parts(const sf_job *job, const bool *wanted, sf_method method, probes *found)
{
    size_t count = 0, seen = 0;
    for (size_t i = 0; i < job->part_count; i++)
        count += wanted[i];
    size_t stride = (count + PARTS_MOST - 1) / PARTS_MOST;
    for (size_t i = 0; i < job->part_count; i++)
        if (wanted[i] && seen++ % stride == 0) {
            add_can(job, found, i, method);
            add_beside(job, found, i, method);
        }
}

static void add_sources(const sf_job *job, sf_method method, probes *found)
{
    for (size_t j = 0; j < job->source_count && j < SOURCES_MOST; j++) {
        const sf_source *source = &job->sources[j];
        sf_point place = {on_ruler(source->x_mm), on_ruler(source->y_mm)};
        if (clearance(job, place, j) >= 0)
            add_probe(job, found, PROBE_SOURCE, j, place, method);
    }
}

static void add_grid(const sf_job *job, sf_method method, probes *found)
{
    double width_mm = job->board.width_mm, height_mm = job->board.height_mm;
    double room = (double)(PROBES_MOST - found->count);
    double step_mm = fmax(GRID_MM, sqrt(width_mm * height_mm / room));
    size_t columns = (size_t)fmax(1, floor(width_mm / step_mm));
    size_t rows = (size_t)fmax(1, floor(height_mm / step_mm));
    for (size_t i = 0; i < columns * rows && found->count < PROBES_MOST; i++) {
        sf_point place = {on_ruler(((double)(i % columns) + 0.5) * width_mm / (double)columns),
                          on_ruler(((double)(i / columns) + 0.5) * height_mm / (double)rows)};
        if (clearance(job, place, NOBODY) >= 0)
            add_probe(job, found, PROBE_OPEN, NOBODY, place, method);
    }
}

sf_status probes_find(const sf_job *job, const bool *wanted, sf_method method, probes *found)
{
    *found = (probes){.list = array_new(PROBES_MOST, sizeof *found->list)};
    if (!found->list)
        return SF_ERROR_MEMORY;
    add_sources(job, method, found);
    add_parts(job, wanted, method, found);
    add_grid(job, method, found);
    return SF_OK;
}

void probes_clear(probes *found)
{
    free(found->list);
    *found = (probes){0};
}

sf_spot probe_on(const probe *at)
{
    return at->spot == PROBE_CAN ? SF_SPOT_PART : SF_SPOT_BOARD;
}

sf_method usual_method(const sf_job *job)
{
    size_t counts[SF_METHOD_COUNT] = {0};
    sf_method usual = SF_METHOD_THERMOCOUPLE_K;
    for (size_t i = 0; i < job->reading_count; i++)
        if ((unsigned)job->readings[i].method < SF_METHOD_COUNT)
            counts[job->readings[i].method]++;
    for (int method = 0; method < SF_METHOD_COUNT; method++)
        if (counts[method] > counts[usual])
            usual = (sf_method)method;
    return usual;
}
