/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Invented boards, and fields on them, that the tests of the field room share. */
#ifndef SPOTFIELD_TESTS_FIELD_BOARDS_H
#define SPOTFIELD_TESTS_FIELD_BOARDS_H

#include <stddef.h>

#include "field/balance.h"
#include "field/grid.h"
#include "field/stack_up.h"
#include "spotfield/field.h"
#include "support/chance.h"

/* A ring over corners that must outlive it. */
sf_ring ring_of(sf_point *corners, size_t count);

/* An upright rectangle by its lower left and upper right corner; `corners` holds 4. */
sf_ring rectangle_ring(sf_point *corners, double left_mm, double low_mm, double right_mm,
                       double high_mm);

/* FR-4 of 1.6 mm with two layers of 35 um, 40 % cover, in still air of 22.4 C. */
sf_board plain_board(double width_mm, double height_mm);

/* A source of unknown power. */
sf_source plain_source(const char *ref, double x_mm, double y_mm, double width_mm,
                       double height_mm);

/* A reading in the fit. */
sf_observation plain_observation(const char *id, double x_mm, double y_mm, double rise_k,
                                 double sd_k);

/* Lays the grid of a full rectangle from the origin; fails the test where it cannot. */
grid *rectangle_grid(double width_mm, double height_mm, double cell_mm);

/* A standard normal number from the sequence of next_uniform (Box and Muller). */
double next_normal(unsigned long *seed);

/* A field worked out without the fit: rise over air on cells of its own. */
typedef struct truth {
    grid *laid;
    double *rise_k; /* per node */
} truth;

/* What makes a truth. The loss grows with the rise as on a real board, and the air about it is
 * warmer than that of the reading by background_k. */
typedef struct truth_plan {
    const sf_board *board;
    const sf_ring *rings;
    size_t ring_count;
    const sf_source *sources;
    const double *strength_k_mm2; /* per source: heat over loss */
    size_t source_count;
    double background_k, length_mm, cell_mm;
} truth_plan;

/* Solves the balance by Picard iteration; fails the test where it cannot. */
truth truth_make(const truth_plan *plan);
double truth_at(const truth *of, double x_mm, double y_mm);
void truth_clear(truth *of);

#endif
