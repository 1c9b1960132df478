/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is gathered about one part before it is put into words. */
#ifndef SPOTFIELD_LIFE_DECIDE_H
#define SPOTFIELD_LIFE_DECIDE_H

#include <stdbool.h>

#include "core/text.h"
#include "life/evidence.h"
#include "life/wear.h"
#include "spotfield/life.h"

/* All that the rules ask about. A number that is not known is NAN. */
typedef struct rule_inputs {
    bool worn;              /* by meter or eye */
    bool critical;          /* its failure takes something irreplaceable with it */
    bool past_seal;         /* older than the seals' guidance */
    bool doubtful_reading;  /* by meter: above tolerance, or near a limit */
    bool doubt_mostly_heat; /* temperature makes most of the doubt of used */
    bool unread;            /* no reading on its piece of the board */
    bool doubted;           /* its heat hangs on a reading or source in doubt */
    bool grade_doubted;     /* no such rating or endurance is made */
    bool air_doubted;       /* in air as warm as it may be it would be middling used or more */
    bool hours_doubted;     /* by the hours that its years make it would be middling used or more */
    bool outlives;          /* by meter: good, against an endurance that is only assumed */
    bool no_law;            /* heat wears its type by no law */
    bool over_rated;        /* hotter than its rating */
    double used;
    double past_life;
    double left_h; /* of board hours */
    double goal_h;
} rule_inputs;

/* The first rule that applies. */
sf_rule rule_find(const rule_inputs *of, const sf_policy *policy);

/* Writes the first rule that applies, its verdict and what it hangs on. */
void rules_apply(const rule_inputs *of, const sf_policy *policy, sf_part_result *result);

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

/* The steps of one part, each of which fills its members of the record: its temperature and its
 * life there (`grade` is what is made of an assumed endurance, `can_read` whether its own can was
 * read), wear_tell, then rule and verdict with what they rest on, and loss_tell. */
void life_tell(const sf_job *job, const sf_part *part, const sf_grade_found *grade, bool can_read,
               sf_estimate rise_k, sf_part_result *result);
rule_inputs rule_tell(const sf_job *job, const sf_part *part, const meter *with, evidence *found,
                      sf_part_result *result);

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

/* --- the verdict in a line that its owner can read --- */

/* Bytes above which the interval of the share used is left out, then the hours, then what was
 * assumed. */
#define REASON_LENGTH 150

/* New text, seldom longer than REASON_LENGTH, freed with free(); NULL when memory is short. */
char *reason_write(const part_context *of);

#endif
