/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Checks one ring, corner by corner and edge by edge. */
#include "job/ring_check.h"

#include <math.h>

#include "core/geometry.h"

/* A typed corner may miss the box by the width of a pencil line. */
static const double outside_mm_max = 0.5;

/* Less than a hair: a thousandth of a millimetre by a millimetre. */
static const double area_mm2_least = 1e-3;

static double beyond(double value_mm, double most_mm)
{
    return fmax(-value_mm, value_mm - most_mm);
}

static bool check_box(struct intake *intake, const char *file, const sf_ring *ring,
                      const struct corner *corners)
{
    const sf_board *board = &intake->job->board;
    bool sound = true;
    if (isnan(board->width_mm) || isnan(board->height_mm))
        return true;
    for (size_t i = 0; i < ring->count; i++) {
        sf_point point = ring->points[i];
        double outside_mm =
            fmax(beyond(point.x_mm, board->width_mm), beyond(point.y_mm, board->height_mm));
        if (outside_mm <= outside_mm_max)
            continue;
        sound = false;
        diagnose_error(intake, (where){file, corners[i].line, ""}, "corners inside that box",
                       "corner (%.10g, %.10g) of ring %d lies %.1f mm outside the board of %.10g "
                       "x %.10g mm",
                       point.x_mm, point.y_mm, ring->number, outside_mm, board->width_mm,
                       board->height_mm);
    }
    return sound;
}

static sf_point corner_after(const sf_ring *ring, size_t index)
{
    return ring->points[index + 1 == ring->count ? 0 : index + 1];
}

/* Cheap test that spares most pairs the exact one. */
static bool boxes_meet(sf_point a, sf_point b, sf_point c, sf_point d)
{
    return fmax(a.x_mm, b.x_mm) >= fmin(c.x_mm, d.x_mm) &&
           fmax(c.x_mm, d.x_mm) >= fmin(a.x_mm, b.x_mm) &&
           fmax(a.y_mm, b.y_mm) >= fmin(c.y_mm, d.y_mm) &&
           fmax(c.y_mm, d.y_mm) >= fmin(a.y_mm, b.y_mm);
}

/* Edges that share the corner b: they meet elsewhere only when b-c runs back along a-b. */
static bool runs_back(sf_point a, sf_point b, sf_point c)
{
    double first_x = b.x_mm - a.x_mm, first_y = b.y_mm - a.y_mm;
    double second_x = c.x_mm - b.x_mm, second_y = c.y_mm - b.y_mm;
    return first_x * second_y == first_y * second_x && first_x * second_x + first_y * second_y < 0;
}

static bool edges_cross(const sf_ring *ring, size_t first, size_t second)
{
    sf_point a = ring->points[first], b = corner_after(ring, first);
    sf_point c = ring->points[second], d = corner_after(ring, second);
    if (second == first + 1)
        return runs_back(a, b, d);
    if (first == 0 && second + 1 == ring->count)
        return runs_back(c, a, b);
    return boxes_meet(a, b, c, d) && segments_meet(a, b, c, d);
}

static bool check_crossing(struct intake *intake, const char *file, const sf_ring *ring,
                           const struct corner *corners)
{
    for (size_t i = 0; i < ring->count; i++)
        for (size_t j = i + 1; j < ring->count; j++) {
            if (!edges_cross(ring, i, j))
                continue;
            diagnose_error(intake, (where){file, corners[j].line, ""},
                           "corners in order around the ring",
                           "ring %d crosses or touches itself: the edge that begins here meets the "
                           "one that begins on line %zu",
                           ring->number, corners[i].line);
            return false;
        }
    return true;
}

bool ring_check(struct intake *intake, const char *file, const sf_ring *ring,
                const struct corner *corners)
{
    where at = {file, corners[0].line, ""};
    if (ring->count < 3) {
        diagnose_error(intake, at, "at least 3", "ring %d has %zu different corners", ring->number,
                       ring->count);
        return false;
    }
    if (ring->count > SF_RING_CORNERS_MAX) {
        diagnose_error(intake, at, "", "ring %d has %zu corners, more than the limit of %u",
                       ring->number, ring->count, SF_RING_CORNERS_MAX);
        return false;
    }
    bool in_box = check_box(intake, file, ring, corners);
    if (fabs(ring_area(ring)) < area_mm2_least) {
        diagnose_error(intake, at, "a ring that encloses some board", "ring %d has no area",
                       ring->number);
        return false;
    }
    return check_crossing(intake, file, ring, corners) && in_box;
}
