/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How well a field explains readings, whatever becomes of the field. */
#ifndef SPOTFIELD_SURVEY_LOG_EVIDENCE_H
#define SPOTFIELD_SURVEY_LOG_EVIDENCE_H

#include "spotfield/survey.h"

/* Log evidence of a job's observations; -INFINITY where no field can be fitted to them. */
double log_evidence_fitted(const sf_job *job, const sf_observation *observations, size_t count,
                           const sf_field_options *options);

#endif
