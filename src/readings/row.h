/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One row of readings.csv, from what the instrument showed to a rise over the air. */
#ifndef SPOTFIELD_READINGS_ROW_H
#define SPOTFIELD_READINGS_ROW_H

#include <stdbool.h>

#include "readings/correction.h"

typedef struct row_value {
    double temp_c;
    double ambient_c;   /* its own air, else the board's */
    double rise_k;      /* temp_c - ambient_c */
    double shown_c;     /* what the instrument meant before emissivity; temp_c for a bead */
    double gain;        /* d temp_c / d shown_c; 1 for a bead */
    double common_sd_k; /* doubt that rows of one spot share: emissivity and what it mirrors */
} row_value;

/* Checks and converts a row; each fault is told. The value is good only where true is returned. */
bool row_convert(correction *run, const sf_reading *row, row_value *value);

#endif
