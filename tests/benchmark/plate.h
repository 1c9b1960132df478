/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A heated board on 1 mm cells, solved without any of the product's simplifications: the truth
 * that the benchmark boards and the demo are made from. */
#ifndef BENCHMARK_PLATE_H
#define BENCHMARK_PLATE_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/geometry.h"
#include "spotfield/status.h"

/* Cells are 1 mm squares; cell (column, row) has its centre at (column + 0.5, row + 0.5) mm. */
typedef struct plate {
    size_t columns, rows, cells;
    bool *inside;       /* whether the cell is board */
    double *sheet_x;    /* in-plane conductance along x, k t summed over the layers, W/K */
    double *sheet_y;    /* the same along y, W/K */
    double *heat_w;     /* heat given off in the cell, W */
    double *held_w;     /* more of it, which scaling leaves alone, W */
    double *rise_k;     /* over the air of the bench: the solution */
    double *plume_k;    /* how much warmer the air before the cell is than that of the bench */
    double *loss_wk;    /* loss of the cell by both faces, W/K, at the last solution */
    double *draught_wk; /* the convective part of it, W/K */
} plate;

/* How a board gives its heat away. */
typedef struct plate_loss {
    double ambient_c;        /* air of the bench */
    bool upright;            /* stands on an edge, y up; else lies flat */
    double convection_gain;  /* over a bare plate, for the parts that stand on it; 1 and more */
    double emissivity_front; /* effective, 0 to 1: less than the surface's where walls are near */
    double emissivity_back;
    double tilt_x, tilt_y; /* relative change of the loss from edge to edge */
    double plume_share;    /* share of the convected heat that stays before the face above */
    double plume_fade_mm;  /* height in which the plume mixes down to 1/e */
} plate_loss;

/* Makes the plate of an outline: rings[0] the edge, the others holes. *made is freed with
 * plate_free. SF_ERROR_MEMORY. */
sf_status plate_new(double width_mm, double height_mm, const sf_ring *rings, size_t ring_count,
                    plate **made);
void plate_free(plate *freed);

/* Spreads watts evenly over the part of a turned rectangle that is board. */
void plate_heat(plate *heated, double x_mm, double y_mm, double width_mm, double height_mm,
                double angle_deg, double watts);

/* Holds the heat given so far at its watts: plate_solve does not scale it. */
void plate_hold(plate *heated);

/* Solves the balance by Picard iteration to 1e-4 K. Where peak_k is not NAN, the heat that is
 * not held is scaled so that the hottest cell rises by it; *scale is the factor. SF_ERROR_MEMORY,
 * SF_ERROR_NUMERIC. */
sf_status plate_solve(plate *solved, const plate_loss *loss, double peak_k, double *scale);

/* Whether a place lies on a cell of the board. */
bool plate_holds(const plate *held, double x_mm, double y_mm);

/* Rise at a place, bilinear between the cells of the board around it; NAN off the board. */
double plate_rise(const plate *read, double x_mm, double y_mm);

#endif
