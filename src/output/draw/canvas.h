/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A page to draw on: a libgd palette picture, a table of pens and the plane that shapes gather in.
 */
#ifndef SPOTFIELD_OUTPUT_DRAW_CANVAS_H
#define SPOTFIELD_OUTPUT_DRAW_CANVAS_H

#include <gd.h>
#include <stdbool.h>
#include <stddef.h>

#include "output/draw/mask.h"
#include "output/draw/pens.h"
#include "spotfield/status.h"

typedef struct canvas {
    gdImagePtr image;
    pen_table pens;
    mask shapes;                  /* what the next canvas_lay lays */
    mask board;                   /* where the board is: canvas_lay_on_board keeps to it */
    int left, top, right, bottom; /* pixels that pens may be laid on; right and bottom outside */
} canvas;

/* A white page of width_px by height_px, for a map in the colours of a scale. On error nothing is
 * held: SF_ERROR_MEMORY. Freed with canvas_close. */
sf_status canvas_open(canvas *opened, int width_px, int height_px, colour_scale *map);
void canvas_close(canvas *closed);

/* Keeps all that is laid from now on inside a box, NULL: the whole page. */
void canvas_clip(canvas *page, const box *within);

/* Lays a pen through the shapes gathered, with opacity 0 to 1, and clears them. */
void canvas_lay(canvas *page, pen laid, double opacity);

/* The same on the board only. */
void canvas_lay_on_board(canvas *page, pen laid, double opacity);

/* The page as PNG bytes in a new block freed with free(). SF_ERROR_MEMORY. */
sf_status canvas_encode(canvas *page, int dpi, int png_level, unsigned char **png, size_t *size);

#endif
