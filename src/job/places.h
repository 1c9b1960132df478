/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether things stand where, and are called what, they can be; the part that a reading is of. */
#ifndef SPOTFIELD_JOB_PLACES_H
#define SPOTFIELD_JOB_PLACES_H

#include <stdbool.h>
#include <stddef.h>

#include "job/intake.h"
#include "spotfield/job.h"
#include "spotfield/status.h"

/* A thing further than this from the board is refused. */
#define PLACE_OFF_BOARD_MM 2.0

/* Distance in mm from the board, 0 on it; 0 as well while the outline is not known or a coordinate
 * is NAN, since then nothing can be said. */
double place_off_board_mm(const struct intake *intake, sf_point place);

/* The same for the footprint of a source: where it comes nearest to the board. */
double source_off_board_mm(const struct intake *intake, const sf_source *source);

/* Whether the place lies on the footprint of a source that reaches the board. */
bool place_is_on_source(const struct intake *intake, sf_point place);

/* A thing and how far off the board it is. `kind` is such as "part". */
struct stray {
    where at;
    const char *kind, *name;
    sf_point place;
    double off_mm;
};

void diagnose_of_stray(struct intake *intake, const struct stray *stray);

/* A name and the line it stands on; a name of "" is passed over. */
struct name_line {
    const char *name;
    size_t line;
};

/* Tells of each name that stands on an earlier line already; the array is sorted by it. */
void twins_check(struct intake *intake, const char *file, const char *column,
                 struct name_line *names, size_t count);

/* --- cans of parts as circles on the board --- */

/* From a place to the edge of a part's can, negative on it. */
double can_distance_mm(const sf_part *part, double x_mm, double y_mm);

/* How far off the edge of a can a place still counts as on it: the ruler's doubt. */
double can_reach_mm(const sf_policy *policy);

static inline bool part_on_solder_side(const sf_part *part)
{
    return part->side == SF_SIDE_SOLDER;
}

/* Of a part or source, in the words of the files. */
static inline const char *body_side_text(sf_side side)
{
    return side == SF_SIDE_SOLDER ? "solder" : "component";
}

/* The part whose can lies nearest a place, of those on the side, and how far away its edge is
 * (negative: on it); the first of several; SF_NO_PART and INFINITY where there is no part. */
size_t can_nearest(const sf_job *job, sf_side side, double x_mm, double y_mm, double *away_mm);

bool reading_names_part(const sf_reading *reading);

#endif
