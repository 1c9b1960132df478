/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether a ring is a sound outline. */
#ifndef SPOTFIELD_JOB_RING_CHECK_H
#define SPOTFIELD_JOB_RING_CHECK_H

#include <stdbool.h>

#include "job/intake.h"

/* One row of outline.csv or keepout.csv. */
struct corner {
    int ring;
    double x_mm, y_mm;
    char *reason;
    size_t line;
};

/* Tells a fault where a ring has fewer than three corners, too many, no area, crosses itself or
 * lies outside the box of the board by more than 0.5 mm. corners[i] stands where ring->points[i]
 * came from. False where it did. */
bool ring_check(struct intake *intake, const char *file, const sf_ring *ring,
                const struct corner *corners);

#endif
