/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A job read and corrected, short of its map; and the plan of readings of a folder. */
#ifndef SPOTFIELD_SURVEY_PLAN_JOB_H
#define SPOTFIELD_SURVEY_PLAN_JOB_H

#include "spotfield/plan.h"
#include "spotfield/reading.h"

/* What the files of a job say. */
typedef struct understood {
    sf_job *job;
    sf_observation *observations;
    size_t observation_count;
    sf_pixels *pixels; /* of the thermogram; NULL where there is none */
} understood;

/* Reads a job with `read`, sf_job_read or sf_job_read_to_plan, and corrects its readings and its
 * thermogram: the faults of both are told. Its errors are theirs; `made` is then all zero. Ended
 * with understood_clear. */
sf_status job_understand(const char *folder,
                         sf_status (*read)(const char *, sf_job **, sf_diagnostics *),
                         understood *made, sf_diagnostics *diagnostics);
void understood_clear(understood *ended);

/* Both NULL where the files cannot be read or nothing can be planned. */
typedef struct planned {
    sf_job *job; /* the plan's parts are those of this job */
    sf_plan *plan;
} planned;

planned plan_job(const char *folder);
void planned_clear(planned *ended);

#endif
