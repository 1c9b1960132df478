/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The ordered rules: from what was found out about a part to what becomes of it. */
#ifndef SPOTFIELD_LIFE_VERDICT_H
#define SPOTFIELD_LIFE_VERDICT_H

#include <stdbool.h>

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

sf_verdict rule_verdict(sf_rule rule);

#endif
