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
} evidence;

evidence evidence_gather(const sf_part *part, const meter *with, const sf_policy *policy);

/* Whether its ESR was measured and there is a limit to judge it by. */
bool evidence_esr_judged(const evidence *of, const sf_part *part);

/* Whether the part is worn whatever the heat says. */
bool evidence_worn(const evidence *of);

/* Whether the findings ask for a better look. */
bool evidence_doubtful(const evidence *of);

/* Whether the meter was used and found nothing. */
bool evidence_fine(const evidence *of, const sf_part *part);

/* Whether capacitance and ESR were both measured, and the meter found nothing. */
bool evidence_good(const evidence *of, const sf_part *part);

#endif
