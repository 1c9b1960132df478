/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the build of a board says about how it spreads and loses heat, before any reading. */
#ifndef SPOTFIELD_FIELD_STACK_UP_H
#define SPOTFIELD_FIELD_STACK_UP_H

#include "spotfield/job.h"

typedef struct stack_up {
    double conductance_w_k; /* k t, in the plane, laminate and copper together */
    double loss_w_m2k;      /* h, both faces together, radiation included */
    double length_mm;       /* sqrt(k t / h) */
    double convection;      /* share of the loss that is convection at the reference rise */
} stack_up;

#define LENGTH_SD_LN 0.4    /* log-normal doubt of length_mm */
#define LOSS_SD_LN 0.3      /* log-normal doubt of loss_w_m2k */
#define LOSS_REFERENCE_K 15 /* rise at which the loss is loss_w_m2k */

stack_up stack_up_of(const sf_board *board);

/* Loss at a rise over air relative to that at LOSS_REFERENCE_K: natural convection grows with the
 * fourth root of the rise (Incropera & DeWitt, laminar free convection; from memory), radiation
 * with the cube of the absolute temperature; a fan's loss does not change. */
double stack_up_loss_at(const stack_up *built, const sf_board *board, double rise_k);

#endif
