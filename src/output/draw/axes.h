/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What stands about the board: title, axes, scale of values, scale bar, caution. */
#ifndef SPOTFIELD_OUTPUT_DRAW_AXES_H
#define SPOTFIELD_OUTPUT_DRAW_AXES_H

#include "output/draw/canvas.h"
#include "output/draw/edges.h"
#include "output/draw/font.h"
#include "output/draw/layout.h"
#include "output/draw/scale.h"
#include "spotfield/draw.h"

void axes_title(canvas *page, font *face, const layout *within, const sf_scene *scene);

/* Ticks in mm below and to the left of the board. */
void axes_draw(canvas *page, font *face, const layout *within, const sf_board *board);

/* The strip of colours below the board: where rated life is used up, and its levels. false when
 * memory is short. */
bool axes_colour_bar(canvas *page, font *face, const layout *within, const sf_scene *scene,
                     const value_scale *scale, const zone_edges *edges);

void axes_scale_bar(canvas *page, font *face, const layout *within);

/* The caution, and a note to its right ("" for none). */
void axes_footer(canvas *page, font *face, const layout *within, const char *note);

#endif
