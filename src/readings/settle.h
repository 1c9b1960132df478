/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the rows of one spot say of its steady state, before the default doubts. */
#ifndef SPOTFIELD_READINGS_SETTLE_H
#define SPOTFIELD_READINGS_SETTLE_H

#include <stdbool.h>
#include <stddef.h>

#include "readings/correction.h"
#include "readings/row.h"
#include "readings/series.h"
#include "readings/warmup.h"

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

#endif
