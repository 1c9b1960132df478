/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Two visits to one made-up board, for the tests of comparisons. */
#ifndef SPOTFIELD_TESTS_LIFE_VISITS_H
#define SPOTFIELD_TESTS_LIFE_VISITS_H

#include "life/fixture.h"
#include "spotfield/compare.h"

enum { PARTS = 5, SEEN = 6 };

/* 120 x 80 mm, H2 at the right; C3 stands beside it, the rest further off. */
typedef struct visit {
    sf_part parts[PARTS];
    sf_source source;
    sf_point corners[4];
    sf_ring ring;
    sf_observation seen[SEEN];
    sf_job job;
    sf_field *field;
} visit;

/* Lays the board and what is read on it. */
void visit_set(visit *on);

/* Fits the field, which is then the caller's. */
void visit_fit(visit *on);

/* As a survey of its job, field and readings. */
sf_survey visit_survey(const visit *on);

/* Fits both and compares them; the diagnostics are the caller's. Freed with sf_comparison_free. */
sf_comparison *compare(visit *before, visit *after, sf_diagnostics *diagnostics);

/* The same where it must succeed, whatever is said. */
sf_comparison *compare_quietly(visit *before, visit *after);

#endif
