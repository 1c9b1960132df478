/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was told of a part or of the air and can hardly be so: a slip there may clear a worn part.
 */
#ifndef SPOTFIELD_JOB_DOUBTFUL_H
#define SPOTFIELD_JOB_DOUBTFUL_H

#include <stdbool.h>

#include "spotfield/job.h"

/* Nobody works at a bench in such air. */
bool air_too_warm(double air_c);

/* By how much the air in service may be warmer than told, K: it is told as colder than at the
 * bench, or the bench as hotter than any. 0 where neither is. */
double job_air_missing_k(const sf_job *job);

/* The same where it is much and nobody measured the air in service: what a part would be worn by
 * in such air counts against it. */
double job_air_doubted_k(const sf_job *job);

/* The highest rating that parts of its type have, C, where a part is told to have a higher one;
 * NAN where it may be so. */
double part_rating_against(const sf_part *part);

/* The longest endurance that such cans are promised, h, where a part is told to have a longer one;
 * NAN where it may be so. */
double part_endurance_against(const sf_part *part);

/* Whether the rating cannot be so, or the endurance is above twice the longest: a digit slipped. */
bool part_grade_doubted(const sf_part *part);

#endif
