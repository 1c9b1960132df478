/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Many readings on one board. */
#include "field/crowded.h"

#include <math.h>
#include <stdlib.h>

#include "support/check.h"

#define SD_K 0.4

double crowded_rise_k(const crowded *of, double x_mm, double y_mm)
{
    double rise_k = 7.3;
    for (size_t j = 0; j < CROWDED_SOURCES; j++)
        rise_k += (13 + 6 * (double)j) *
                  exp(-pow(hypot(x_mm - of->sources[j].x_mm, y_mm - of->sources[j].y_mm) / 26, 2));
    return rise_k;
}

void crowded_set(crowded *into, size_t count)
{
    unsigned long seed = 4711;
    *into = (crowded){.board = plain_board(120, 90)};
    into->edge = rectangle_ring(into->corners, 0, 0, 120, 90);
    into->sources[0] = plain_source("H1", 37.4, 61.2, 14, 9);
    into->sources[1] = plain_source("H2", 83.6, 28.9, 11, 17);
    into->seen = calloc(count, sizeof *into->seen);
    assert_non_null(into->seen);
    for (size_t i = 0; i < count; i++) {
        /* a lattice of golden ratios is even whatever the number */
        double x_mm = 120 * fmod(0.754877666 * (double)(i + 1), 1);
        double y_mm = 90 * fmod(0.569840291 * (double)(i + 1), 1);
        double off_k = SD_K * next_normal(&seed);
        into->seen[i] =
            plain_observation("r", x_mm, y_mm, crowded_rise_k(into, x_mm, y_mm) + off_k, SD_K);
    }
    into->input = (sf_field_input){.board = &into->board,
                                   .rings = &into->edge,
                                   .ring_count = 1,
                                   .sources = into->sources,
                                   .source_count = CROWDED_SOURCES,
                                   .observations = into->seen,
                                   .observation_count = count};
}

void crowded_clear(crowded *made)
{
    free(made->seen);
}
