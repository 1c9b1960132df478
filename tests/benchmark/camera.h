/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thermal camera over a simulated board: a pinhole that looks at it aslant, with cans and bodies
 * standing in the way, noise, calibration and a soft picture. Uses nothing of the product. */
#ifndef BENCHMARK_CAMERA_H
#define BENCHMARK_CAMERA_H

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stddef.h>

#include "benchmark/plate.h"

/* A vector in millimetres: x to the right, y up the board, z off it to the viewer. */
typedef struct vector {
    double x, y, z;
} vector;

/* Something that stands on the board: an upright can, or a box where width_mm is above 0. */
typedef struct body {
    double x_mm, y_mm, height_mm;
    double diameter_mm;                      /* of a can */
    double width_mm, depth_mm, cosine, sine; /* of a box turned by an angle */
    double temp_c;                           /* of its sides */
    double top_emissivity;                   /* a bare lid mirrors the room */
    double emissivity;                       /* of a box; 0: that of the solder mask */
} body;

typedef struct camera {
    size_t columns, rows;
    vector place, right, up, forward; /* the last three of unit length */
    double focal_px;
    double noise_k;        /* of one pixel: noise equivalent temperature difference */
    double offset_k;       /* calibration, the same over the picture */
    double set_emissivity; /* what the camera corrects for; 1: nothing */
    double shade_k;        /* by how much its corners read more than its middle */
} camera;

/* What it looks at. */
typedef struct view {
    const plate *board;
    double ambient_c;
    double emissivity;     /* of the solder mask in truth */
    const double *texture; /* what to add to it, one value a cell of the board; NULL: nothing */
    const body *bodies;
    size_t body_count;
} view;

/* Hangs a camera with a lens of 45 degrees over the board, 13 degrees off the upright and turned
 * by 2, so near that the whole board just fits. */
void camera_hang(camera *hung, const plate *board);

/* The pixel (column, row, the first one's centre at 0, 0) where a place on the board is seen. */
void camera_find(const camera *of, double x_mm, double y_mm, double *column, double *row);

/* Fills shown_c, rows x columns, the top row first, with what the camera shows. */
void camera_shoot(const camera *of, const view *seen, gsl_rng *chance, float *shown_c);

#endif
