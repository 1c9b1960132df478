/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the rows of one spot say of its steady state, before the default doubts. */
#ifndef SPOTFIELD_READINGS_SETTLE_H
#define SPOTFIELD_READINGS_SETTLE_H

#include <stdbool.h>
#include <stddef.h>

#include "readings/correction.h"
#include "readings/warmup.h"
#include "spotfield/job.h"
#include "spotfield/reading.h"

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

/* The same of an infrared reading whose numbers are within their ranges and whose air is set. */
bool infrared_convert(correction *run, const sf_reading *row, row_value *value);

/* A row in the order of correction: the rows of one id follow one another by rising minute, the
 * ids in the order of their first rows. */
typedef struct series_row {
    const char *id;
    double minute;
    size_t index;  /* in the readings */
    size_t leader; /* index of the first row with that id; of itself where the id is blank */
} series_row;

/* A spot once it has settled, whether it was read once or on its way. */
typedef struct settled {
    const sf_reading *row; /* first row in the file */
    row_value value;       /* of the single or last row; its rise_k is the steady one */
    double random_sd_k;    /* what is this spot's alone: repeatability, scatter of a series */
    double shared_sd_k;    /* of a stated uncertainty, what all readings have; 0 where default */
    bool is_default;       /* some row gave no uncertainty of its own */
    size_t row_count;
    double last_minute; /* of a series */
    warmup warmup;      /* of a series */
} settled;

/* A spot that was read once; a warning where a minute says that it may not have been steady. */
bool settle_single(correction *run, const series_row *row, settled *spot);

/* A spot with count >= 2 rows of one id, by rising minute. Faults of any row, rows that make no
 * series, and a series that has not settled are told. */
bool settle_series(correction *run, const series_row *rows, size_t count, settled *spot);

/* Adds what method, spot and policy ask for: default doubt, bead, a can's own heat; says all of
 * it in the remark. False where memory is short, told in run->status. */
bool observation_make(correction *run, const settled *spot, sf_observation *made);

#endif
