/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is gathered about one part before it is put into words. */
#ifndef SPOTFIELD_LIFE_DECIDE_H
#define SPOTFIELD_LIFE_DECIDE_H

#include "core/text.h"
#include "life/evidence.h"
#include "life/verdict.h"
#include "life/wear.h"

/* Borrows all it points to. */
typedef struct part_context {
    const sf_job *job;
    const sf_part *part;
    const history *lived;
    const meter *with;
    run_time ran;
    evidence found;
    rule_inputs asked;
    const sf_part_result *result;
} part_context;

/* Adds the lines about the ordered rules. */
void explain_rules(text *into, const part_context *of);

/* What the rules ask about, from what was found out. */
rule_inputs part_rule_inputs(const sf_job *job, const sf_part *part, const evidence *found,
                             const sf_part_result *result);

/* Per part, whether its own can was read; freed with free(), NULL when memory is short. */
bool *cans_read(const sf_job *job);

/* As sf_parts_decide_trusting, from what cans_read told; a job of one part cannot tell its readings
 * from its neighbours'. */
sf_status parts_decide(const sf_job *job, const sf_estimate *rises_k, const bool *can_read,
                       const sf_trust *trusts, sf_part_result **results);

#endif
