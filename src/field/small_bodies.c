/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which readings show a small body and not the board. */
#include "field/small_bodies.h"

#include <math.h>

#define SMALL_MM 4.0 /* judgement: a bead under its tape, or the least infrared spot */

bool body_covers(const sf_source *source, double x_mm, double y_mm)
{
    double angle = source->angle_deg * M_PI / 180;
    double dx = x_mm - source->x_mm, dy = y_mm - source->y_mm;
    return fabs(dx * cos(angle) + dy * sin(angle)) <= source->width_mm / 2 &&
           fabs(dy * cos(angle) - dx * sin(angle)) <= source->height_mm / 2;
}

static bool is_small(const sf_source *source)
{
    return (source->mount == SF_MOUNT_UNKNOWN || source->mount == SF_MOUNT_FLAT) &&
           fmin(source->width_mm, source->height_mm) < SMALL_MM;
}

bool body_was_read(const sf_field_input *input, const sf_observation *seen)
{
    if (seen->spot != SF_SPOT_BOARD)
        return false;
    for (size_t j = 0; j < input->source_count; j++)
        if (is_small(&input->sources[j]) && body_covers(&input->sources[j], seen->x_mm, seen->y_mm))
            return true;
    return false;
}
