/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Slanting lines over what is told with too much doubt: on a map of changes and in its legend. */
#ifndef SPOTFIELD_OUTPUT_DRAW_HATCH_H
#define SPOTFIELD_OUTPUT_DRAW_HATCH_H

#include "output/draw/mask.h"

#define HATCH_OPACITY 0.62

/* Adds to the mask what slanting lines cover of pixels left..right-1 in a row, which must lie on
 * the plane; `where` tells for each of them whether it is hatched, NULL: all are. */
void hatch_row(mask *into, int y, int left, int right, double em_px, const bool *where);

#endif
