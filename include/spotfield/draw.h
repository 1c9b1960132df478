/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The picture of a board: field in colour, isotherms, sources, readings, parts by verdict. */
#ifndef SPOTFIELD_DRAW_H
#define SPOTFIELD_DRAW_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/compare.h"
#include "spotfield/field.h"
#include "spotfield/job.h"
#include "spotfield/life.h"
#include "spotfield/status.h"

SF_BEGIN_C

/* A colour of the palette, sRGB 0..255. */
typedef struct sf_colour {
    unsigned char red, green, blue;
} sf_colour;

/* The project's own scale: `share` from 0 (coldest, dark) to 1 (hottest, light); lightness in
 * CIELAB rises evenly. Values outside are held at the ends. */
SF_API sf_colour sf_palette_colour(double share);

/* The scale of differences: `share` from 0 (most cooler, deep blue) by 0.5 (no change, grey) to 1
 * (most hotter, pale orange). Lightness in CIELAB rises evenly all the way, so that a print in grey
 * still shows which is cooler and which hotter. Values outside are held at the ends. */
SF_API sf_colour sf_change_colour(double share);

/* Everything a picture shows; nothing is owned. Texts and arrays must outlive the call. */
typedef struct sf_scene {
    const sf_job *job; /* outline, sources (by fit), parts, no-touch areas */
    sf_grid grid;
    const double
        *values; /* per cell: degrees Celsius, or a standard deviation in kelvins; NAN outside */
    const double *change_sds; /* per cell, one sd of a change that `values` give: they are shown
                                 about zero, hatched where within SF_CHANGE_COVERAGE of it; NULL:
                                 the values are no change */
    const char *quantity;     /* "Temperature in service" or "Standard deviation" */
    const char *unit;         /* "C" is drawn with a degree sign, "K" as it is */
    const sf_source_fit *sources;
    size_t source_count;
    const sf_observation *observations; /* notches with their value */
    size_t observation_count;
    const double *observation_labels; /* per observation, the number to write; NAN none */
    const sf_part_result *results;    /* per part of the job; NULL: no verdicts yet */
    const sf_change *changes;         /* per part of the job, shown where there are no verdicts;
                                         NULL: none */
    const sf_zones *zones;            /* edges where unit is "C"; NULL: no zone edges */
    const sf_point *points;           /* places to read next: rings with 1, 2, ... in them */
    size_t point_count;               /* at most 999 */
    const char *const *title_lines;   /* up to 4, the first one larger */
    size_t title_line_count;
} sf_scene;

/* Start from sf_picture_options_default. */
typedef struct sf_picture_options {
    int width_px;          /* 400 to 8,000; default 1,600 */
    int dpi;               /* written into the file; 50 to 1,200; default 300 */
    const char *font_path; /* a TrueType file; NULL: DejaVu Sans where it is found, else bitmap */
    int png_level;         /* zlib level 1 to 9; default 4: against 6 a twelfth more bytes in
                              three fifths of the time */
} sf_picture_options;

/* The options that hold where the caller asks for nothing: the defaults named above. */
SF_API sf_picture_options sf_picture_options_default(void);

/* Where things are drawn, for pages that lay marks over the picture:
 * column = left_px + x_mm * px_per_mm, row = bottom_px - y_mm * px_per_mm. */
typedef struct sf_picture_frame {
    int width_px, height_px;
    double left_px, bottom_px, px_per_mm;
} sf_picture_frame;

/* Draws a scene as PNG bytes. Scenes that differ only in their values, quantity and zones get the
 * same frame. On SF_OK *png is a new block of *size bytes the caller frees with free(); *frame
 * (may be NULL) gets the geometry. On error *png is NULL.
 * Errors: SF_ERROR_ARGUMENT (options or scene out of range, no font at font_path),
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC (no cell of the board has a finite value). */
SF_API sf_status sf_scene_draw(const sf_scene *scene, const sf_picture_options *options,
                               unsigned char **png, size_t *size, sf_picture_frame *frame);

SF_END_C

#endif
