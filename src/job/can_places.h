/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Cans of parts as circles on the board, and the part that a reading belongs to. */
#ifndef SPOTFIELD_JOB_CAN_PLACES_H
#define SPOTFIELD_JOB_CAN_PLACES_H

#include <stdbool.h>

#include "spotfield/job.h"

/* From a place to the edge of a part's can, negative on it. */
double can_distance_mm(const sf_part *part, double x_mm, double y_mm);

/* How far off the edge of a can a place still counts as on it: the ruler's doubt. */
double can_reach_mm(const sf_policy *policy);

/* The part whose can lies nearest a place, and how far away its edge is (negative: on it); the
 * first of several; SF_NO_PART and INFINITY where there is no part. */
size_t can_nearest(const sf_job *job, double x_mm, double y_mm, double *away_mm);

/* The part of a reference, letter case counted; SF_NO_PART where there is none. */
size_t part_called(const sf_job *job, const char *ref);

bool reading_names_part(const sf_reading *reading);

#endif
