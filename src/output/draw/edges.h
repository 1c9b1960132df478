/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which lines a map draws: round isotherms and the edges of zones. */
#ifndef SPOTFIELD_OUTPUT_DRAW_EDGES_H
#define SPOTFIELD_OUTPUT_DRAW_EDGES_H

#include <stdbool.h>
#include <stddef.h>

#include "output/draw/isotherms.h"
#include "output/draw/scale.h"
#include "spotfield/draw.h"

/* Widths of lines, in ems. */
#define ZONE_HOT_WIDTH 0.26
#define ZONE_WARM_WIDTH 0.16
#define ISOTHERM_WIDTH 0.07

/* Temperatures from which the commonest part has used up its rated life, or the policy's share of
 * it; NAN where there is no such line on the map. */
typedef struct zone_edges {
    double hot_from, warm_from;
    double warm_used; /* the policy's share */
} zone_edges;

/* Whether a scene tells where rated life is used up: it shows temperatures and has zones. */
bool edges_told(const sf_scene *scene);

/* The edges of a scene: those of its zones, where its values are temperatures they lie between. */
zone_edges edges_of(const sf_scene *scene, const value_scale *scale);

/* Such a value in whole degrees. */
void edges_write(double value, char text[SCALE_TEXT]);

enum { LOOKS_MAX = SCALE_LEVELS_MAX + 2 };

/* How every line of a map looks, round levels first; returns their number. */
size_t edges_list_lines(const zone_edges *edges, const value_scale *scale, double em_px,
                        line_look looks[LOOKS_MAX]);

#endif
