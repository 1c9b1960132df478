/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the meter and the eye say of a part, and what new parts say of the meter. */
#ifndef SPOTFIELD_LIFE_EVIDENCE_H
#define SPOTFIELD_LIFE_EVIDENCE_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/job.h"
#include "spotfield/status.h"

/* How the meter reads new parts: its readings over their markings. */
typedef struct meter {
    double bias;    /* median ratio; 1 where no control was read */
    double bias_sd; /* its standard error, from the scatter; 0 for fewer than two controls */
    size_t controls;
} meter;

/* From controls.csv; controls without a marking or a reading above 0 are passed over.
 * SF_ERROR_MEMORY. */
sf_status meter_judge(const sf_job *job, meter *judged);

/* Findings on one part. */
typedef struct evidence {
    double reading_pct;      /* capacitance against marking, corrected by the controls; NAN */
    double marking_pct;      /* the same as read; NAN */
    bool damaged;            /* bulged, leaking, crusted or corroded */
    bool smells;             /* of fish: something near leaks */
    bool reads_low;          /* below tolerance by more than the meter's doubt */
    bool reads_near_low;     /* below tolerance, but within that doubt */
    bool reads_high;         /* above tolerance: perhaps leaky */
    double esr_limit_ohm;    /* given or reckoned; NAN not known */
    bool esr_worn;           /* above its limit by more than the tables of limits disagree */
    bool esr_doubtful;       /* above its limit by less */
    double leakage_limit_ua; /* given or reckoned; NAN not known */
    bool leaks_worn;         /* far above its limit */
    bool leaks_doubtful;     /* above it by less: a rest raises leakage */
    bool esr_judged;         /* its ESR was measured and there is a limit to judge it by */
    bool worn;               /* whatever the heat says */
    bool doubtful;           /* the findings ask for a better look */
    bool fine;               /* the meter was used and found nothing */
    bool good;               /* and it measured both capacitance and ESR */
} evidence;

evidence evidence_gather(const sf_part *part, const meter *with, const sf_policy *policy);

#endif
