/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Checks that hold for parts, sources and readings alike. */
#include "job/places.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "core/text.h"
#include "job/choice_words.h"
#include "job/files.h"
#include "job/number.h"

static bool is_known(sf_point place)
{
    return !isnan(place.x_mm) && !isnan(place.y_mm);
}

double place_off_board_mm(const struct intake *intake, sf_point place)
{
    if (!intake->outline_sound || !is_known(place))
        return 0;
    const sf_job *job = intake->job;
    return board_distance(job->rings, job->ring_count, place.x_mm, place.y_mm);
}

static void footprint_corners(const sf_source *source, sf_point corners[4])
{
    static const double across[4] = {-0.5, 0.5, 0.5, -0.5}, up[4] = {-0.5, -0.5, 0.5, 0.5};
    double angle = source->angle_deg * acos(-1) / 180;
    for (size_t i = 0; i < 4; i++) {
        double x_mm = across[i] * source->width_mm, y_mm = up[i] * source->height_mm;
        corners[i].x_mm = source->x_mm + x_mm * cos(angle) - y_mm * sin(angle);
        corners[i].y_mm = source->y_mm + x_mm * sin(angle) + y_mm * cos(angle);
    }
}

static double edges_distance_mm(sf_point a, sf_point b, sf_point c, sf_point d)
{
    if (segments_meet(a, b, c, d))
        return 0;
    return fmin(fmin(segment_distance(a, c, d), segment_distance(b, c, d)),
                fmin(segment_distance(c, a, b), segment_distance(d, a, b)));
}

static double rings_distance_mm(const sf_ring *one, const sf_ring *other)
{
    double least_mm = INFINITY;
    for (size_t i = 0, before = one->count - 1; i < one->count; before = i++)
        for (size_t j = 0, last = other->count - 1; j < other->count; last = j++)
            least_mm = fmin(least_mm, edges_distance_mm(one->points[before], one->points[i],
                                                        other->points[last], other->points[j]));
    return least_mm;
}

double source_off_board_mm(const struct intake *intake, const sf_source *source)
{
    sf_point corners[4];
    double off_mm = place_off_board_mm(intake, (sf_point){source->x_mm, source->y_mm});
    if (off_mm == 0 || isnan(source->width_mm) || isnan(source->height_mm))
        return off_mm;
    footprint_corners(source, corners);
    const sf_ring footprint = {.points = corners, .count = 4};
    for (size_t i = 0; i < intake->job->ring_count; i++)
        off_mm = fmin(off_mm, rings_distance_mm(&footprint, &intake->job->rings[i]));
    return off_mm;
}

bool place_is_on_source(const struct intake *intake, sf_point place)
{
    if (intake->job->source_count > SF_SOURCES_MAX)
        return false;
    for (size_t i = 0; i < intake->job->source_count; i++) {
        const sf_source *source = &intake->job->sources[i];
        sf_point corners[4];
        footprint_corners(source, corners);
        const sf_ring footprint = {.points = corners, .count = 4};
        if (ring_contains(&footprint, place.x_mm, place.y_mm) &&
            source_off_board_mm(intake, source) <= PLACE_OFF_BOARD_MM)
            return true;
    }
    return false;
}

void diagnose_of_stray(struct intake *intake, const struct stray *stray)
{
    diagnose_error(intake, stray->at, "a place on the board",
                   "%s %s at (%.10g, %.10g) lies %.1f mm from the nearest board, outside the edge "
                   "or in a cut-out",
                   stray->kind, excerpt_of(stray->name).text, stray->place.x_mm, stray->place.y_mm,
                   stray->off_mm);
}

static int by_name_then_line(const void *left, const void *right)
{
    const struct name_line *a = left, *b = right;
    int order = strcmp(a->name, b->name);
    return order != 0 ? order : (a->line > b->line) - (a->line < b->line);
}

void twins_check(struct intake *intake, const char *file, const char *column,
                 struct name_line *names, size_t count)
{
    qsort(names, count, sizeof *names, by_name_then_line);
    for (size_t i = 1; i < count; i++)
        if (names[i].name[0] != '\0' && strcmp(names[i].name, names[i - 1].name) == 0)
            diagnose_error(intake, (where){file, names[i].line, column}, "a name of its own",
                           "\"%s\" is already on line %zu", excerpt_of(names[i].name).text,
                           names[i - 1].line);
}

/* --- cans of parts as circles on the board --- */

/* A place is on a can up to so many standard deviations of the ruler off its edge; our choice. */
#define RULER_SDS 2.0

double can_distance_mm(const sf_part *part, double x_mm, double y_mm)
{
    return hypot(x_mm - part->x_mm, y_mm - part->y_mm) - part->diameter_mm / 2;
}

double can_reach_mm(const sf_policy *policy)
{
    return RULER_SDS * policy->position_sd_mm;
}

const char *sf_side_text(sf_side side)
{
    static const char *const texts[SF_SIDE_COUNT] = {"either side", "component side",
                                                     "solder side"};
    return (unsigned)side < SF_SIDE_COUNT ? texts[side] : "";
}

size_t can_nearest(const sf_job *job, sf_side side, double x_mm, double y_mm, double *away_mm)
{
    size_t nearest = SF_NO_PART;
    *away_mm = INFINITY;
    for (size_t i = 0; i < job->part_count; i++) {
        double mm = can_distance_mm(&job->parts[i], x_mm, y_mm);
        if (mm < *away_mm && part_on_solder_side(&job->parts[i]) == (side == SF_SIDE_SOLDER)) {
            *away_mm = mm;
            nearest = i;
        }
    }
    return nearest;
}

/* The part of a reference, letter case counted; SF_NO_PART where there is none. */
static size_t part_called(const sf_job *job, const char *ref)
{
    for (size_t i = 0; i < job->part_count; i++)
        if (strcmp(job->parts[i].ref, ref) == 0)
            return i;
    return SF_NO_PART;
}

bool reading_names_part(const sf_reading *reading)
{
    return reading->part && reading->part[0] != '\0';
}

size_t sf_reading_part(const sf_job *job, const sf_reading *reading)
{
    if (reading->spot != SF_SPOT_PART)
        return SF_NO_PART;
    if (reading_names_part(reading))
        return part_called(job, reading->part);
    double away_mm;
    size_t nearest = can_nearest(job, reading->side, reading->x_mm, reading->y_mm, &away_mm);
    return away_mm <= can_reach_mm(&job->policy) ? nearest : SF_NO_PART;
}
