/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether each mark agrees with the others. */
#ifndef SPOTFIELD_READINGS_MARKS_CHECK_H
#define SPOTFIELD_READINGS_MARKS_CHECK_H

#include <stddef.h>

#include "spotfield/geometry.h"
#include "spotfield/status.h"

/* The mark that agrees least. */
typedef struct mark_slip {
    size_t mark;
    double left_out_mm; /* from where the other marks put it; 0 where too few tell */
    double score;       /* how much better the others agree without it, in standard deviations */
} mark_slip;

/* Fits the map count times, each mark left out in turn, and compares what the others then miss by
 * with what all missed by, residual_mm. A mark that is left out cannot bend the map to itself, as a
 * corner of six marks does by four fifths of its slip. usual_mm > 0 is what a mark misses by along
 * each axis. Of fewer than 5 marks nothing can be told. SF_ERROR_MEMORY. */
sf_status marks_check(const sf_point *pixel, const sf_point *board_mm, size_t count,
                      const double *residual_mm, double usual_mm, mark_slip *worst);

#endif
