/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The plan of the next readings of a job. */
#ifndef SPOTFIELD_SURVEY_PLAN_JOB_H
#define SPOTFIELD_SURVEY_PLAN_JOB_H

#include "spotfield/plan.h"

/* Both NULL where the files cannot be read or nothing can be planned. */
typedef struct planned {
    sf_job *job; /* the plan's parts are those of this job */
    sf_plan *plan;
} planned;

planned plan_job(const char *folder);
void planned_clear(planned *ended);

#endif
