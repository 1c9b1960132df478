/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finds where a bead or an infrared spot has room. */
#include "life/probe.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "job/places.h"
#include "life/board_place.h"
#include "life/owner_words.h"

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

/* --- what a planned reading is for: what is settled, then how to read there --- */

#define NAMED_MOST 3
#define NAMED_SHARE 0.25  /* of the greatest gain, from which a part is named */
#define SETTLED_SHARE 0.1 /* of it, from which a part counts as settled */
#define DEPENDS_SHARE 0.2 /* of its variance told, from which a part depends on a source */
#define SURE 0.02         /* a probability so near to 0 or 1 is not what is settled */

sf_side probe_side(const sf_job *job, const probe *at)
{
    switch (at->spot) {
    case PROBE_SOURCE: /* its body covers its own side */
        return job->sources[at->index].side == SF_SIDE_SOLDER ? SF_SIDE_COMPONENT : SF_SIDE_SOLDER;
    case PROBE_CAN:
        return part_on_solder_side(&job->parts[at->index]) ? SF_SIDE_SOLDER : SF_SIDE_COMPONENT;
    default:
        return SF_SIDE_EITHER;
    }
}

static int compare_gains(const void *one, const void *other)
{
    const plan_effect *a = one, *b = other;
    return (a->gain < b->gain) - (a->gain > b->gain);
}

/* The first of them gains something, else the reading would not have been chosen. */
static size_t count_from(const plan_effect *effects, size_t count, double share)
{
    size_t found = 0;
    while (found < count && effects[found].gain >= share * effects[0].gain)
        found++;
    return found;
}

/* Whether the doubt is about the life that is used, rather than about that which is left. */
static bool about_past(const plan_effect *of)
{
    double past = loss_past(of->of, of->rise_k, of->sd_k);
    double measure = loss_measure(of->of, of->rise_k, of->sd_k);
    bool past_unsure = past > SURE && past < 1 - SURE;
    bool measure_unsure = measure > SURE && measure < 1 - SURE;
    return past_unsure || !measure_unsure || !of->of->may_leave;
}

static double chance(const plan_effect *of)
{
    return about_past(of) ? loss_past(of->of, of->rise_k, of->sd_k)
                          : loss_measure(of->of, of->rise_k, of->sd_k);
}

/* How many of the first are named: those that gain most, as long as they doubt the same. */
static size_t count_named(const plan_effect *effects, size_t count)
{
    size_t most = count_from(effects, count, NAMED_SHARE), named = 0;
    most = most < NAMED_MOST ? most : NAMED_MOST;
    while (named < most && about_past(&effects[named]) == about_past(&effects[0]))
        named++;
    return named;
}

/* "settles C12, C17 and 3 more: now 38 % and 22 % likely past its rated life; ". */
static void add_settled(text *into, const plan_effect *effects, size_t count)
{
    size_t settled = count_from(effects, count, SETTLED_SHARE);
    size_t named = count_named(effects, count);
    bool halved = effects[0].gain >= effects[0].loss / 2;
    text_add(into, halved ? "settles " : "helps settle ");
    for (size_t i = 0; i < named; i++) {
        bool last = i > 0 && i + 1 == named && settled == named;
        text_addf(into, "%s%s", i == 0 ? "" : last ? " and " : ", ", effects[i].part->ref);
    }
    if (settled > named)
        text_addf(into, " and %zu more", settled - named);
    text_add(into, ": now ");
    for (size_t i = 0; i < named; i++) {
        text_add(into, i == 0 ? "" : i + 1 == named ? " and " : ", ");
        add_percent(into, chance(&effects[i]));
    }
    text_add(into, !about_past(&effects[0]) ? " likely to need a check; "
                   : named > 1              ? " likely past their rated life; "
                                            : " likely past its rated life; ");
}

static void add_source(text *into, const sf_source *source, const plan_effect *effects,
                       size_t count)
{
    size_t depending = 0;
    for (size_t i = 0; i < count; i++)
        depending += effects[i].told >= DEPENDS_SHARE;
    text_addf(into, "shows how strong %s is", source->ref);
    if (depending > 0)
        text_addf(into, ", on which %zu part%s depend%s", depending, depending == 1 ? "" : "s",
                  depending == 1 ? "s" : "");
    text_add(into, "; ");
}

static void add_how(text *into, const sf_job *job, const probe *at)
{
    if (at->spot == PROBE_SOURCE)
        text_addf(into, "%s its middle, on the %s; ",
                  probe_side(job, at) == SF_SIDE_SOLDER ? "under" : "over",
                  sf_side_text(probe_side(job, at)));
    if (at->spot == PROBE_CAN)
        text_add(into, "on its can; ");
    if (at->keepout)
        text_addf(into, "infrared only: %s",
                  at->keepout->reason && at->keepout->reason[0] ? at->keepout->reason
                                                                : "no-touch area");
    else if (at->method == SF_METHOD_INFRARED)
        text_add(into, at->spot == PROBE_CAN
                           ? "infrared, square to the sleeve, not on the bare lid"
                           : "infrared, square to the mask, not on solder or metal");
    else if (at->spot == PROBE_CAN)
        text_add(into, "thermocouple taped to the sleeve, not to the lid or a lead; discharge "
                       "first");
    else
        text_add(into, "thermocouple taped to the board, 10 mm or more from any live part; "
                       "discharge first");
}

char *plan_reason_write(const sf_job *job, const probe *at, plan_effect *effects, size_t count)
{
    text words = {0};
    qsort(effects, count, sizeof *effects, compare_gains);
    if (at->spot == PROBE_SOURCE)
        add_source(&words, &job->sources[at->index], effects, count);
    add_settled(&words, effects, count);
    add_how(&words, job, at);
    return text_take(&words);
}
