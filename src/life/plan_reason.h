/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a planned reading is for and how to take it, in a line. */
#ifndef SPOTFIELD_LIFE_PLAN_REASON_H
#define SPOTFIELD_LIFE_PLAN_REASON_H

#include "life/expected_loss.h"
#include "life/probe.h"
#include "spotfield/plan.h"

/* What one reading does for one part. */
typedef struct plan_effect {
    const sf_part *part;
    const loss_model *of;
    double rise_k, sd_k; /* today */
    double loss;         /* expected before the reading */
    double gain;         /* expected fall of that */
    double told;         /* share of its variance that the reading takes away */
} plan_effect;

/* The side from which a probe is reached. */
sf_side probe_side(const sf_job *job, const probe *at);

/* New text, NULL when memory is short. Sorts the effects, greatest gain first. */
char *plan_reason_write(const sf_job *job, const probe *at, plan_effect *effects, size_t count);

#endif
