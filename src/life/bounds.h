/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The temperatures at which a board's commonest part has used a share of its life. */
#ifndef SPOTFIELD_LIFE_BOUNDS_H
#define SPOTFIELD_LIFE_BOUNDS_H

#include "spotfield/life.h"

typedef struct grade {
    double rated_c, endurance_h, doubling_k;
} grade;

/* The grade that most parts which heat wears share, the shorter-lived where several do; without
 * parts the one assumed for an unmarked 85 C part. SF_ERROR_MEMORY. */
sf_status grade_commonest(const sf_job *job, const sf_part_result *results, grade *commonest);

/* Service temperature from which such a part, stressed in all hours the board has run, has used
 * at least `share` of its life. -INFINITY where the floor of the law makes that so everywhere,
 * INFINITY where it is so nowhere, NAN where the hours are unknown. */
double bound_temp_c(const sf_job *job, const grade *of, double share);

#endif
