/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Words for zones: what they are called, and what is to be done in them. */
#ifndef SPOTFIELD_LIFE_ZONE_WORDS_H
#define SPOTFIELD_LIFE_ZONE_WORDS_H

#include <stdbool.h>

#include "life/board_place.h"
#include "life/heaters.h"
#include "spotfield/life.h"

/* What tells a zone from others; all borrowed. */
typedef struct zone_setting {
    const sf_job *job;
    const sf_zone *zone;
    heaters by;
    board_place lies;
    bool divided; /* false where the board is not divided for want of run hours */
    bool alone;   /* no other zone */
} zone_setting;

/* A hot or warm zone is called by the sources that heat it: "warm around U1, D1 and 5 more"; where
 * none stands in it by the source or part nearest its peak, else as a cool one by the part of the
 * board it takes up: "cool upper left". New text, NULL when memory is short. */
char *zone_title(const zone_setting *of);

/* The name of a zone: its title, counted where earlier zones share it: "hot around H3 (2)". New
 * text, NULL when memory is short. */
char *zone_name(const char *title, size_t same_before);

/* "replace the 7 here, check 2; the other 4 stay". New text, NULL when memory is short. */
char *zone_sentence(const sf_zone *zone);

#endif
