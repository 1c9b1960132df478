/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Strokes made of strokes: outlines, dashes, hatching. All of them gather in a mask. */
#ifndef SPOTFIELD_OUTPUT_DRAW_STROKES_H
#define SPOTFIELD_OUTPUT_DRAW_STROKES_H

#include "output/draw/mask.h"

/* Where a thin level or upright line lies crisply: the middle of a pixel. */
double stroke_crisp(double at_px);

/* A closed outline. */
void stroke_outline(mask *into, const place *corners, size_t count, double width_px);

/* A closed outline in dashes: lengths on and off in turn, `pattern_count` of them, even. */
void stroke_dashes(mask *into, const place *corners, size_t count, double width_px,
                   const double *pattern_px, size_t pattern_count);

/* Parallel lines inside a polygon (even-odd rule), rising to the right, on one lattice for the
 * whole picture; only what lies in `within` is drawn. */
void stroke_hatch(mask *into, const place *corners, size_t count, double width_px,
                  double spacing_px, box within);

#endif
