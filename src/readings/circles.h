/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Circles in a picture that may be the tops of cans. */
#ifndef SPOTFIELD_READINGS_CIRCLES_H
#define SPOTFIELD_READINGS_CIRCLES_H

#include <stdatomic.h>
#include <stddef.h>

#include "spotfield/status.h"

/* No side of a picture is longer, and no more circles are told. */
#define CIRCLES_SIDE_MOST 2000
#define CIRCLES_MOST 300

typedef struct circle {
    double column, row, radius_px;
    double seen; /* share of its edge that shows, 0 to 1 */
} circle;

typedef struct grey_picture {
    const unsigned char *shades; /* row by row */
    size_t columns, rows;
} grey_picture;

/* Circles with a radius from least_px, 3 at least, to most_px that lie in the picture with at
 * least 0.6 of their edge to be seen, no two of them over one another, the surest first: each edge
 * votes for middles along its gradient (Kimme, Ballard and Sklansky, Finding circles by an array of
 * accumulators, Comm. ACM 18 (1975) 120), band by band of radii, and a circle is fitted to what
 * lies about them. found has room for
 * CIRCLES_MOST. `left` (may be NULL) may become true meanwhile: nobody waits any more, which is
 * looked at between bands. SF_ERROR_DATA: it did; SF_ERROR_ARGUMENT: a side beyond 7 to
 * CIRCLES_SIDE_MOST, or radii that are none; SF_ERROR_MEMORY. */
sf_status circles_find(const grey_picture *picture, double least_px, double most_px, circle *found,
                       size_t *count, const atomic_bool *left);

#endif
