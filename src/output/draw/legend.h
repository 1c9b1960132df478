/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The legend: each sign on the map with what it means and how many there are. */
#ifndef SPOTFIELD_OUTPUT_DRAW_LEGEND_H
#define SPOTFIELD_OUTPUT_DRAW_LEGEND_H

#include <stddef.h>

#include "output/draw/canvas.h"
#include "output/draw/font.h"
#include "output/draw/layout.h"
#include "output/draw/scale.h"
#include "output/draw/symbols.h"
#include "spotfield/draw.h"

typedef enum legend_sign {
    SIGN_REPLACE,
    SIGN_CHECK,
    SIGN_LEAVE,
    SIGN_HOTTER,
    SIGN_COOLER,
    SIGN_SAME,
    SIGN_PART,        /* no verdict yet */
    SIGN_WHY_REPLACE, /* with the letter of a cause */
    SIGN_WHY_CHECK,
    SIGN_SOLDER, /* what is on the solder side */
    SIGN_SOURCE,
    SIGN_UNLISTED,
    SIGN_BEAD, /* a reading by thermocouple */
    SIGN_INFRARED,
    SIGN_READING_OUT,
    SIGN_POINT,
    SIGN_KEEPOUT,
    SIGN_DOUBT, /* hatching of a change within its doubt */
    SIGN_HOT,   /* from here on lines, which depend on the quantity */
    SIGN_WARM,
    SIGN_ISOTHERM,
    SIGN_COUNT
} legend_sign;

enum { LEGEND_TEXT = 80, LEGEND_ENTRIES = SIGN_COUNT + 2 * SF_CAUSE_COUNT };

typedef struct legend_entry {
    legend_sign sign;
    sf_cause cause; /* of the signs with a letter */
    size_t count;   /* of parts it stands for, else 0 */
    char words[LEGEND_TEXT];
} legend_entry;

typedef struct legend {
    legend_entry entries[LEGEND_ENTRIES];
    size_t count;
} legend;

/* The entries that a scene needs. Zone edges only where they are drawn. */
legend legend_make(const sf_scene *scene, const value_scale *scale);

/* Says how many parts of each mark have their name on the map, where not all have. */
void legend_tell_named(legend *told, const size_t named[PART_MARK_COUNT]);

/* Entries to keep room for, and width of the widest, its sign included. Both are alike for every
 * quantity of one job: maps of its temperature and of its doubt lie alike on their pages. */
size_t legend_rows(const legend *of);
double legend_width(const legend *of, font *face, double em_px);

void legend_draw(canvas *page, font *face, const legend *drawn, const layout *within);

#endif
