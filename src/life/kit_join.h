/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The kits of several boards as one. */
#ifndef SPOTFIELD_LIFE_KIT_JOIN_H
#define SPOTFIELD_LIFE_KIT_JOIN_H

#include "spotfield/life.h"

/* A kit under way; start as { 0 }, end with kit_join_clear. Only its lines are filled. */
typedef struct kit_join {
    sf_kit kit;
    size_t capacity;
} kit_join;

/* Adds a line of a board's kit, whose references follow the board's name. It joins a line of the
 * same kind and grade, of which the longer endurance, the lower can, the greater ripple and the
 * lesser ESR are asked for then, so that it fits each position. SF_ERROR_MEMORY. */
sf_status kit_join_line(kit_join *into, const char *board, const sf_kit_line *line);

/* Ends the adding: spares by the count of each line, and its words. SF_ERROR_MEMORY. */
sf_status kit_join_end(kit_join *into, double spare_pct);
void kit_join_clear(kit_join *discarded);

/* A share of a count, rounded up. */
size_t kit_spares(size_t count, double spare_pct);

/* As a buyer searches for it; new text, NULL when memory is short. */
char *kit_line_describe(const sf_kit_line *line);

#endif
