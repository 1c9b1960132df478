/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where heat that nobody listed may stand. */
#ifndef SPOTFIELD_FIELD_CANDIDATES_H
#define SPOTFIELD_FIELD_CANDIDATES_H

#include "field/fit_data.h"

/* Footprints that an unlisted source may have. */
typedef struct candidates {
    size_t count;
    sf_point *centres;
    double *sides_mm;
    footprint *covers;
    double *prior; /* per candidate, given that there is a source; they sum to 1 */
} candidates;

/* Squares of two sizes, each on a lattice over the board, and at each reading that is not on a
 * listed source: people read what is warm. SF_ERROR_MEMORY. *made is ended with candidates_clear.
 */
sf_status candidates_make(const fit_data *data, candidates *made);
void candidates_clear(candidates *made);

#endif
