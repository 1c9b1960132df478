/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the field models that know nothing of heat have in common: the places they pass by, and the
 * readings of their results. */
#ifndef SPOTFIELD_FIELD_REFERENCE_H
#define SPOTFIELD_FIELD_REFERENCE_H

#include "field/fit_data.h"
#include "field/model.h"

#define NO_POINT ((size_t)-1)

/* Their root mean square is known to some 0.5 %. */
#define LEFT_OUT_READINGS_MOST 20000

/* Single readings first, then cells of a thermogram. */
typedef struct reference_data {
    fit_data gathered;
    size_t count;
    sf_point *points;
    double *values;  /* as of the board: what was read on a can is divided by its share */
    size_t *reading; /* which one of `gathered`, rising */
    size_t
        *point_of; /* per reading of `gathered`: which point; NO_POINT where others stand for it */
    double *work;  /* room for 2 count values */
} reference_data;

/* Takes every single reading, or where there are more than
 * SF_REFERENCE_READINGS_MOST some that are well spread;
 * and of a thermogram well-spread cells. SF_ERROR_DATA where there is neither, SF_ERROR_MEMORY.
 * Ended with reference_clear in any case. */
sf_status reference_gather(const sf_field_input *input, const grid *laid, reference_data *of);
void reference_clear(reference_data *of);

/* A fitted field at a place, and the variance of that, whose cost grows with the square of the
 * points; variance_k2 NULL where it is not wanted. */
typedef double reference_at(const void *fitted, sf_point place, double *work, double *variance_k2);

/* What the readings need of a fit: all as of the board. */
typedef struct reference_fit {
    const void *fitted;
    reference_at *at;
    sf_estimate *without; /* per point: what the others predict of it, noise in the sd */
    double noise_k2;      /* of one point, beyond what is stated of its reading */
    bool stated;          /* whether readings err by what is stated of them besides */
} reference_fit;

/* Fills in summary, nodes and single readings, and the left-out error: of these, or where there are
 * none of the cells of the thermogram. Where only the error is asked for, it is that of a reading
 * in so many that LEFT_OUT_READINGS_MOST are not passed by much, and of readings and nodes nothing
 * is filled in. SF_ERROR_NUMERIC where a node is not finite. */
sf_status reference_report(const reference_data *of, const reference_fit *fit,
                           model_result *result);

#endif
