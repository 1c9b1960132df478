/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which rows of readings.csv belong together. */
#ifndef SPOTFIELD_READINGS_SERIES_H
#define SPOTFIELD_READINGS_SERIES_H

#include <stddef.h>

#include "spotfield/job.h"

/* A row in the order of correction: the rows of one id follow one another by rising minute, the
 * ids in the order of their first rows. */
typedef struct series_row {
    const char *id;
    double minute;
    size_t index;  /* in the readings */
    size_t leader; /* index of the first row with that id; of itself where the id is blank */
} series_row;

/* All rows in that order, a new array of count freed with free(); NULL where memory is short. */
series_row *series_sort(const sf_reading *readings, size_t count);

/* How many rows of the `left` from `first` on share its id; at least 1. */
size_t series_length(const series_row *first, size_t left);

#endif
