/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A whole job for sf_field_fit: an invented board with sources, read from a field that is solved on
 * finer cells than the fit uses. */
#ifndef SPOTFIELD_TESTS_FIELD_SCENE_H
#define SPOTFIELD_TESTS_FIELD_SCENE_H

#include "field/boards.h"

#define SCENE_SOURCES 210
#define SCENE_READINGS 320
#define SCENE_RINGS 8

typedef struct scene {
    sf_board board;
    sf_point corners[SCENE_RINGS][4];
    sf_ring rings[SCENE_RINGS]; /* upright rectangles, the first the edge */
    size_t ring_count;
    sf_source sources[SCENE_SOURCES];
    double strength_k_mm2[SCENE_SOURCES]; /* heat over loss; on board the truth is made with */
    size_t source_count, hidden_count; /* the last hidden_count sources are not told to the fit */
    double background_k, length_mm;
    sf_observation seen[SCENE_READINGS];
    size_t reading_count;
    const sf_pixels *pixels; /* NULL: none */
    const sf_point *cans;    /* whose rise is wanted; NULL: none */
    size_t can_count;
    sf_field_options options;
} scene;

/* 120 x 90 mm, three sources, spreading length 23 mm, background 8 K, no reading yet. */
void scene_plain(scene *made);

/* A bare board of another size, no source, no reading. */
void scene_bare(scene *made, double width_mm, double height_mm);

void scene_add_ring(scene *made, double left_mm, double low_mm, double right_mm, double high_mm);
void scene_add_source(scene *made, double x_mm, double y_mm, double width_mm, double height_mm,
                      double strength_k_mm2);

/* A source that the fit is not told of; none may be added after it that is. */
void scene_hide_source(scene *made, double x_mm, double y_mm, double side_mm,
                       double strength_k_mm2);

void scene_add_reading(scene *made, double x_mm, double y_mm, double sd_k);

/* Scatters readings over the board, at least 4 mm from one another and on board. */
void scene_scatter(scene *made, size_t count, double sd_k, unsigned long seed);

/* The field that the scene's sources make, on cells of cell_mm. Ended with truth_clear. */
truth scene_truth(const scene *of, double cell_mm);

/* Reads the truth at every reading, each off by a normal number times its sd_k. */
void scene_read(scene *made, const truth *from, double noise, unsigned long seed);

/* Fits, by way of the precision where pixels are set; diagnostics may be NULL. */
sf_status scene_fit(const scene *of, sf_field **field, sf_diagnostics *diagnostics);

/* Fits, fails the test where that does not end well or anything is not sound. */
sf_field *scene_field(const scene *of);

/* Fails the test unless every number that leaves the field is finite and every deviation above 0.
 */
void assert_sound(const scene *of, const sf_field *field);

/* Whether a warning has the words. */
int complained_of(const sf_diagnostics *diagnostics, sf_severity severity, const char *words);

#endif
