/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A plane of pixel coverage in which shapes gather before one pen is laid through it: overlapping
 * strokes of one symbol meet without a seam, and every edge is smooth. */
#ifndef SPOTFIELD_OUTPUT_DRAW_MASK_H
#define SPOTFIELD_OUTPUT_DRAW_MASK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "output/draw/place.h"

/* After a failure further shapes do nothing, so that only the end is tested. */
typedef struct mask {
    int width_px, height_px;
    unsigned char *cover; /* row by row, 0 free to 255 whole */
    int top, bottom;      /* rows touched since the last clearing; bottom outside */
    uint64_t *touched;    /* per row a bit for each 64th of it, set where pixels may be covered */
    int bit_px;           /* pixels a bit stands for */
    bool failed;          /* memory was short */
} mask;

/* How a polygon meets what is there. */
typedef enum mask_mode {
    MASK_ADD,  /* the larger coverage stays */
    MASK_ERASE /* what the polygon covers is taken away */
} mask_mode;

/* false when memory is short; freed with mask_free. */
bool mask_new(mask *made, int width_px, int height_px);
void mask_free(mask *freed);

/* Frees all pixels touched. */
void mask_clear(mask *cleared);

/* A stroke with round ends. */
void mask_line(mask *into, place from, place to, double width_px);

void mask_disc(mask *into, place centre, double radius_px);

/* A circle of `width_px`, its middle at radius_px. */
void mask_ring(mask *into, place centre, double radius_px, double width_px);

/* A closed polygon by the even-odd rule, edges to a sixteenth of a pixel. */
void mask_polygon(mask *into, const place *corners, size_t count, mask_mode mode);

/* A small picture of coverage with its upper left corner at (left, top). */
void mask_stamp(mask *into, const unsigned char *cover, int width, int height, int left, int top);

/* Whether the pixel at a place is at least half covered; false off the plane. */
bool mask_covers(const mask *in, place at);

/* Share of a box whose pixels are at least half covered, told by samples along three lines. */
double mask_share(const mask *in, box where);

/* Notes that pixels left..right-1 of a row will be touched; all must lie in the plane. */
void mask_touch(mask *into, int y, int left, int right);

/* The next run of pixels touched in a row from *right on: *left..*right-1. Start with *right 0. */
bool mask_next_run(const mask *in, int y, int *left, int *right);

/* --- strokes made of strokes: outlines, dashes, hatching --- */

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
