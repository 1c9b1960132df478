/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A made-up board of which a plan is asked: where to read next. */
#ifndef SPOTFIELD_TESTS_LIFE_DESK_H
#define SPOTFIELD_TESTS_LIFE_DESK_H

#include "life/fixture.h"
#include "spotfield/plan.h"

enum { PARTS = 6, SOURCES = 2, SEEN = 5 };

/* 120 x 80 mm with a slot, a mains corner at the lower left with H1 in it, H2 at the right; C3
 * stands by H2, the rest further off. */
typedef struct desk {
    sf_part parts[PARTS];
    sf_source sources[SOURCES];
    sf_point corners[12];
    sf_ring rings[2], keepout;
    sf_observation seen[SEEN];
    size_t seen_count;
    sf_job job;
    sf_diagnostics diagnostics;
} desk;

/* Lays it; of its readings seen_count are taken, none at first. */
void desk_set(desk *on);

/* A plan of so many points, which must come without an error; freed with sf_plan_free. */
sf_plan *plan_of(desk *on, size_t points);

#endif
