/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Fits of one set of readings at several spreading lengths, which the field is averaged over. */
#ifndef SPOTFIELD_FIELD_LENGTH_AVERAGE_H
#define SPOTFIELD_FIELD_LENGTH_AVERAGE_H

#include "field/length_fit.h"
#include "field/lengths.h"

/* Fits with their posterior weights; the weights sum to 1. */
typedef struct length_average {
    length_fit fits[LENGTHS_MOST];
    double weights[LENGTHS_MOST];
    size_t count, best;
    sf_estimate *left_out_k; /* per reading: what all others predict; NULL before it was judged */
    double *alone;           /* per reading: its score were nothing unlisted there to bear it out */
} length_average;

void length_average_clear(length_average *averaged);

/* Two passes: the first finds the rise, on which losses, patchiness and the cost of a misplaced
 * reading depend, and about how long the spreading length is; the second seeks unlisted sources
 * and leaves its fits in *averaged, the candidates in *seek and the first pass's field in *mean.
 * *averaged and *seek are ended with their clear functions in any case.
 * SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status length_average_fit(fit_data *data, const balance *pattern, double position_sd_mm,
                             candidates *seek, length_average *averaged, const peaked_field *mean);

/* The same of readings that are too many to search for hyperparameters with: these and the lengths
 * are learnt from few of them. */
sf_status length_average_hold(fit_data *data, const balance *pattern, double position_sd_mm,
                              candidates *seek, length_average *averaged, const peaked_field *mean);

/* Fits a well-spread `most` of the readings, whose average field all of them take, and *mean too.
 * Only lengths, weights, hyperparameters and their doubt are good in *learnt, which is ended with
 * length_average_clear in any case. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status length_average_learn(fit_data *data, const balance *pattern, size_t most,
                               double position_sd_mm, length_average *learnt,
                               const peaked_field *mean);

/* The fits' weighted mean; how far they lie apart at every node is added to spread_k2, NULL for
 * not. */
void length_average_field(const fit_data *data, const length_average *averaged,
                          const peaked_field *mean, double *spread_k2);

#endif
