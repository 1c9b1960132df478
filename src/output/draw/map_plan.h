/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A map in the making: the scene with all that is worked out for its picture. */
#ifndef SPOTFIELD_OUTPUT_DRAW_MAP_PLAN_H
#define SPOTFIELD_OUTPUT_DRAW_MAP_PLAN_H

#include "output/draw/canvas.h"
#include "output/draw/edges.h"
#include "output/draw/font.h"
#include "output/draw/isotherms.h"
#include "output/draw/labels.h"
#include "output/draw/layout.h"
#include "output/draw/legend.h"
#include "output/draw/mask.h"
#include "output/draw/padded_field.h"
#include "output/draw/scale.h"
#include "output/draw/spatial_index.h"
#include "output/draw/symbols.h"
#include "spotfield/draw.h"

typedef struct map {
    const sf_scene *scene;
    font *face;
    padded_field field;
    value_scale scale;
    zone_edges edges;
    legend signs;
    layout page;
    canvas canvas;
    isotherms lines;
    spatial_index taken;
    part_mark named_from; /* parts so grave or graver have their reference beside them */
    notch *readings;      /* the scene's, NULL where they would cover the board */
    label *labels;        /* first the numbers of places to read next, in their order */
    size_t label_count;
} map;

/* Works out everything up to the places of labels, with field and board already painted on the
 * canvas. On SF_OK freed with map_close; on error nothing is held. */
sf_status map_plan(const sf_scene *scene, const sf_picture_options *options, map *planned);
void map_close(map *closed);

/* --- steps of map_plan, each in its own file --- */

/* SF_ERROR_ARGUMENT where options or scene are out of range. */
sf_status scene_check(const sf_scene *scene, const sf_picture_options *options);

/* Paints the field on the board, hatches what lies within the doubt of a change, and finds the
 * lines. SF_ERROR_MEMORY. */
sf_status map_paint_field(map *painted);
sf_status map_hatch_doubt(map *hatched);
sf_status map_trace_lines(map *traced);

/* Puts symbols, words along lines and labels in their places. SF_ERROR_MEMORY. */
sf_status map_place_labels(map *placed);

/* Chooses on which side of its spot each reading's notch stands, and adds it to the spatial index;
 * then, later, their numbers to the labels. false when memory is short. */
bool map_aim_readings(map *aimed);
void map_name_readings(map *named);

/* --- why a part is replaced or checked, by a letter --- */

/* The letter; "" for a part that stays. */
const char *map_letter(const sf_scene *scene, size_t part);

/* Whether it stands in the part's disc: it can be read there and nothing covers it. Else it follows
 * the part's name. */
bool map_letter_inside(const map *in, size_t part);

void letter_draw(canvas *page, font *face, part_mark mark, const char *letter, place centre,
                 double radius_px, double em_px);

/* --- where things are --- */

place map_place(const map *in, double x_mm, double y_mm);
double map_part_radius(const map *in, const sf_part *part);
part_mark map_part_mark(const sf_scene *scene, size_t part);

/* Corners of a source's footprint. */
void map_source_corners(const map *in, const sf_source_fit *source, place corners[4]);

/* Corners of the frame of a part or source on the solder side; false where it is not there. */
bool map_part_frame(const map *in, const sf_part *part, place corners[4]);
bool map_source_frame(const map *in, size_t source, place corners[4]);

/* How a label is written: size in ems. */
text_style map_lettering(const map *in, double size, bool bold, pen laid);

/* A ring's corners in a new array freed with free(); NULL when memory is short. */
place *map_ring(const map *in, const sf_ring *ring);

/* --- slanting lines over what is told with too much doubt --- */

#define HATCH_OPACITY 0.62

/* Adds to the mask what slanting lines cover of pixels left..right-1 in a row, which must lie on
 * the plane; `where` tells for each of them whether it is hatched, NULL: all are. */
void hatch_row(mask *into, int y, int left, int right, double em_px, const bool *where);

#endif
