/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Whether a fitted field is one of a board at all. */
#ifndef SPOTFIELD_FIELD_PLAUSIBLE_H
#define SPOTFIELD_FIELD_PLAUSIBLE_H

#include "field/model.h"

/* Refuses, as SF_ERROR_DATA with a diagnostic at its cause, a field that is physically impossible;
 * numbers made from it would mean nothing, and some would overflow. SF_ERROR_MEMORY. */
sf_status plausible_check(const sf_field_input *input, const grid *laid, const model_result *result,
                          sf_diagnostics *diagnostics);

#endif
