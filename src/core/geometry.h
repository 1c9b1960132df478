/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Points against outlines: used by the job to refuse what lies off the board, by the field to lay
 * its grid, by the picture to fill the outline. */
#ifndef SPOTFIELD_CORE_GEOMETRY_H
#define SPOTFIELD_CORE_GEOMETRY_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/geometry.h"
#include "spotfield/status.h"

/* Whether a point lies inside a ring, by the even-odd rule. */
bool ring_contains(const sf_ring *ring, double x_mm, double y_mm);

/* Whether a point is board: inside rings[0] and in no other. */
bool board_contains(const sf_ring *rings, size_t ring_count, double x_mm, double y_mm);

/* Distance in mm from a point to the board, 0 where it is board. */
double board_distance(const sf_ring *rings, size_t ring_count, double x_mm, double y_mm);

/* Distance in mm from a point to the segment a-b. */
double segment_distance(sf_point point, sf_point a, sf_point b);

/* Whether segments a-b and c-d meet, touching ends included. */
bool segments_meet(sf_point a, sf_point b, sf_point c, sf_point d);

/* Signed area in mm2, positive anticlockwise. */
double ring_area(const sf_ring *ring);

/* Chooses `most` of the points or fewer, `first` and then time and again the one farthest from all
 * that are chosen, no two in one place; their indices rise. `chosen` has room for `most`.
 * SF_ERROR_MEMORY. */
sf_status points_spread(const sf_point *points, size_t count, size_t first, size_t most,
                        size_t *chosen, size_t *taken);

#endif
