/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a field comes to in service and at the parts; answers to what-if questions, put beside the
 * outcome. */
#ifndef SPOTFIELD_SURVEY_WHAT_IF_H
#define SPOTFIELD_SURVEY_WHAT_IF_H

#include "spotfield/survey.h"

/* Temperature in service per cell of the field's grid, in a new array freed with free(); NULL when
 * memory is short. */
double *service_temps_c(const sf_job *job, const sf_field *field);

/* The field at each part, in a new array freed with free(). SF_ERROR_MEMORY, or of sf_field_at. */
sf_status rises_at_parts(const sf_job *job, const sf_field *field, sf_estimate **rises_k);

/* What stays of the rise at each part where a fan blows, in a new array freed with free().
 * SF_ERROR_MEMORY, or of sf_field_fan_share. */
sf_status fan_shares_at_parts(const sf_job *job, const sf_field *field, sf_estimate **shares);

/* Fills what_ifs of an outcome that is decided; with no wish none. SF_ERROR_MEMORY, those of
 * sf_parts_prospect and sf_field_fan_share. */
sf_status what_ifs_answer(const sf_wishes *wishes, sf_outcome *outcome);

#endif
