/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* thermogram.csv and marks.csv of a simulated job. */
#ifndef BENCHMARK_PICTURE_H
#define BENCHMARK_PICTURE_H

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stddef.h>

#include "benchmark/clutter.h"
#include "benchmark/plate.h"
#include "benchmark/table.h"

/* What is asked of the camera and of the person at it. */
typedef struct picture_options {
    size_t columns, rows;  /* 0: no picture is wanted */
    size_t marks;          /* 4 to 8 */
    double mark_error_px;  /* standard deviation along each axis, in the picture */
    double mark_error_mm;  /* the same with the ruler on the board */
    double set_emissivity; /* what the camera corrects for; 1: nothing */
} picture_options;

/* The marks are laid inside this rectangle; the file's texts are of the tables. */
typedef struct picture_scene {
    const plate *truth;
    const table *sources, *parts;
    const clutter *strays; /* NULL for a board with nothing else on it, before an even camera */
    double width_mm, height_mm, ambient_c;
} picture_scene;

/* Takes the picture and writes both files into the folder; false where that fails. */
bool picture_take(const picture_scene *scene, const picture_options *asked, gsl_rng *chance,
                  const char *folder);

#endif
