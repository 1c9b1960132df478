/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* An invented board for tests and for looking at: sources, readings and parts on an analytic
 * field, in any number and size. */
#ifndef SPOTFIELD_TESTS_INVENTED_H
#define SPOTFIELD_TESTS_INVENTED_H

#include "spotfield/draw.h"

/* What to invent. */
typedef struct invention {
    double width_mm, height_mm;
    size_t parts, readings, sources;
    bool corner_missing; /* an L with a slot, else a plain rectangle */
    bool keepout;
    unsigned seed;
} invention;

/* A scene with all that it points at, freed with invented_free. */
typedef struct invented {
    sf_job job;
    sf_scene scene;
    sf_zones zones;
    unsigned char *inside;
    double *values;
    double *numbers;
    sf_source_fit *sources;
    sf_observation *observations;
    sf_part_result *results;
    char (*refs)[24];
    char first_title[96];
    const char *titles[3];
} invented;

/* The board that the picture is designed by: 220 x 160 mm, 8 sources, 24 readings, 90 parts. */
invention invention_usual(void);

/* Fails the test where memory is short. */
void invented_make(const invention *wanted, invented *made);
void invented_free(invented *freed);

/* Replaces the cell values by those of a function of the place; outside stays NAN. */
void invented_set_field(invented *changed, double (*field)(double x_mm, double y_mm));

#endif
