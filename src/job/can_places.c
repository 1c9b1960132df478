/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* On whose can a reading was taken. */
#include "job/can_places.h"

#include <math.h>
#include <string.h>

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

size_t can_nearest(const sf_job *job, double x_mm, double y_mm, double *away_mm)
{
    size_t nearest = SF_NO_PART;
    *away_mm = INFINITY;
    for (size_t i = 0; i < job->part_count; i++) {
        double mm = can_distance_mm(&job->parts[i], x_mm, y_mm);
        if (mm < *away_mm) {
            *away_mm = mm;
            nearest = i;
        }
    }
    return nearest;
}

size_t part_called(const sf_job *job, const char *ref)
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
    size_t nearest = can_nearest(job, reading->x_mm, reading->y_mm, &away_mm);
    return away_mm <= can_reach_mm(&job->policy) ? nearest : SF_NO_PART;
}
