/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thermogram of a board on a bench, for the tests of its corrections. */
#ifndef SPOTFIELD_TESTS_READINGS_CAMERA_BENCH_H
#define SPOTFIELD_TESTS_READINGS_CAMERA_BENCH_H

#include "readings/told.h"
#include "spotfield/reading.h"
#include "support/check.h"

enum { COLUMNS = 96, ROWS = 72, PIXELS = COLUMNS * ROWS, MARKS_MOST = 8 };

#define AIR_C 22.4

/* A board of 130 x 90 mm and a camera at a slant over it. */
typedef struct bench {
    sf_job job;
    sf_point edge[4], hole[4];
    sf_ring rings[2];
    sf_part part;
    sf_source source;
    sf_mark marks[MARKS_MOST];
    float shown_c[PIXELS];
    sf_pixels *pixels;
    sf_diagnostics diagnostics;
    sf_status status;
} bench;

/* Without cut-out and can, five marks on it. What is corrected is ended with clear_bench. */
void lay_bench(bench *on);
void add_mark(bench *on, double x_mm, double y_mm);
void add_can(bench *on);

/* All pixels at one temperature. */
void make_even(bench *on, double temp_c);

void correct(bench *on);
void clear_bench(bench *on);

/* Corrects, which must succeed with nothing said. */
void correct_quietly(bench *on);

/* Back from a pixel to the board. */
void unproject(double column, double row, double *x_mm, double *y_mm);

/* What the board has: a temperature that no wrong place can hit by luck. */
double true_c(double x_mm, double y_mm);

/* Pixels that lie inside a rectangle. */
size_t count_in(const sf_pixels *of, double left, double right, double low, double high);

#endif
