/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a field model is: a const table of functions, one file a model, listed once in asked.c. */
#ifndef SPOTFIELD_FIELD_MODEL_H
#define SPOTFIELD_FIELD_MODEL_H

#include <stdbool.h>

#include "field/fit_data.h"
#include "spotfield/field.h"

/* What a model fills in. The arrays per node and per reading come allocated and zeroed. */
typedef struct model_result {
    peaked_field mean;
    double *variance_k2;      /* per node */
    double *independent_k2;   /* per node: what of it the readings' own errors make; 0: not told */
    double *common_shift_k;   /* SF_COMMON_COUNT rows of nodes: see sf_reading_share */
    sf_reading_fit *readings; /* per observation in the fit, `observation` already set */
    sf_estimate *cans;        /* per can of the input */
    sf_source_fit *sources;   /* room for source_count + SF_UNLISTED_MOST; model sets the count */
    size_t source_count;
    double *slip_gains;       /* per slip of the input, -INFINITY before */
    bool left_out_only;       /* what is filled in per node is not asked for */
    bool log_evidence_only;   /* only mean and log_evidence are asked for */
    double bytes_refused;     /* what the fit would have taken, where that is why it is refused */
    sf_field_summary summary; /* readings, cells, cell_mm and model already set */
    /* Asked for by sf_field_fit_joint alone, which also works without a reading; else joint is
     * NULL. Its arrays come allocated and zeroed. */
    const sf_place *places;
    sf_joint_rise *joint;
} model_result;

#define SF_UNLISTED_MOST 4

typedef struct field_model {
    sf_field_model_name called;
    /* SF_ERROR_DATA when the observations do not suffice: *why is then a static sentence. */
    sf_status (*fit)(const sf_field_input *input, const sf_field_options *options, const grid *laid,
                     model_result *result, const char **why);
} field_model;

extern const field_model heat_balance_model;
extern const field_model thin_plate_model;
extern const field_model kriging_model;

#endif
