/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the verdict on one part would be, and how dear a wrong one, as a function of what is known
 * of the rise under it: used by the plan of readings, and by decide.c for what one more reading
 * would settle. */
#ifndef SPOTFIELD_LIFE_EXPECTED_LOSS_H
#define SPOTFIELD_LIFE_EXPECTED_LOSS_H

#include "life/evidence.h"
#include "life/wear.h"

/* What each verdict costs, in parts left in place that are past their life. Nothing here is a
 * choice of its own: a check is worth what makes the rules switch where the policy says, from
 * leave to check at past_life_check, from check to replace at past_life_replace, and for a
 * critical part from leave to replace at past_life_critical. */
typedef struct verdict_costs {
    double left_past;       /* left, and past its rated life: 1, more for a critical part */
    double left_unmeasured; /* left, and the rules ask for a meter on it */
    double checked;         /* checked, and not past its rated life */
    double checked_past;    /* checked, and past its rated life; dear for a critical part alone */
    double needless;        /* replaced, and not past its rated life */
} verdict_costs;

verdict_costs costs_of(const sf_policy *policy, bool critical);

/* One part. The rise is that of the board at the bench, K over air. */
typedef struct loss_model {
    bool open;             /* the verdict rests on temperature; all below holds only then */
    bool may_leave;        /* no finding of the meter stands against it */
    double never;          /* probability that it is past its rated life however cool it runs */
    double middle_k;       /* rise at which past_life is midway between that and 1 */
    double width_k;        /* doubt of the case, endurance and hours, as kelvin of rise */
    double measure_from_k; /* rise from which the rules ask for a meter: its life left falls short
                              of the service goal, or an old seal has seen too much */
    double check_from, replace_from; /* of past_life, for this part */
    verdict_costs costs;
} loss_model;

/* result: of sf_parts_decide at any rise. It finds the rise where each rule begins to apply. */
loss_model loss_make(const sf_job *job, const history *lived, const meter *with,
                     const sf_part *part, const sf_part_result *result);

/* Probability that the part is past its rated life, the rise being known to mean and sd. */
double loss_past(const loss_model *of, double rise_k, double sd_k);

/* Probability that a precise reading would show the part to ask for a meter. */
double loss_measure(const loss_model *of, double rise_k, double sd_k);

/* Expected cost of the verdict that costs least, the rise being known to mean and sd. */
double loss_expected(const loss_model *of, double rise_k, double sd_k);

/* That and what is told of the part: whether its rated life is used up, by the temperature alone.
 * To be told on the wrong side of that costs the mean of a worn part left and one replaced for
 * nothing. */
double loss_cost(const loss_model *of, double rise_k, double sd_k);

#define LOSS_LEVELS 33

/* The cost as it is expected once readings are in that leave `share` of the variance: losses[i]
 * at share i / (LOSS_LEVELS - 1). The mean to come is normal about today's with the variance
 * that is taken away. Knowing more never costs more: the values never fall with the share. */
void loss_tabulate(const loss_model *of, double rise_k, double sd_k, double losses[LOSS_LEVELS]);

/* A value of that table, linear between its points; share in 0..1. */
double loss_tabulated(const double losses[LOSS_LEVELS], double share);

/* Fills what of the record is about another reading of a part that is to be checked: below which
 * temperature of its can it is clear, the chance that one settles it, and its method. `usual` is
 * that of the readings. */
void loss_tell(const sf_job *job, const history *lived, const meter *with, const sf_part *part,
               bool can_read, sf_method usual, sf_estimate rise_k, sf_part_result *result);

#endif
