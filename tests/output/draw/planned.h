/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A map of an invented board, planned but not drawn, for tests that look into it. */
#ifndef SPOTFIELD_TESTS_PLANNED_H
#define SPOTFIELD_TESTS_PLANNED_H

#include "invented.h"
#include "output/draw/map_plan.h"

/* Fails the test where planning fails. Freed with map_close, before the board. */
map planned_of(invented *board, int width_px);

/* Whether the legend has an entry of just these words. */
bool has_entry(const legend *in, const char *words);

#endif
