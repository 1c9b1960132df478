/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A heat balance laid and solved, for the tests of what it comes to. */
#ifndef SPOTFIELD_TESTS_FIELD_SOLVED_H
#define SPOTFIELD_TESTS_FIELD_SOLVED_H

#include "field/balance.h"
#include "field/fit_data.h"

/* Ended with solved_clear. */
typedef struct solved {
    grid *laid;
    double *heat; /* per node, heat over loss, K */
    double *rise; /* per node, K */
} solved;

/* Without heat; takes the grid over. */
solved solved_start(grid *laid);

/* Adds heat of heat_k on an upright rectangle. */
void solved_warm(solved *of, double x_mm, double y_mm, double width_mm, double height_mm,
                 double heat_k);

/* At a spreading length; loss as balance_factor takes it. */
void solved_solve(solved *of, double length_mm, const double *loss);
void solved_clear(solved *of);

/* The rise at a place. */
double solved_at(const solved *of, double x_mm, double y_mm);

#endif
