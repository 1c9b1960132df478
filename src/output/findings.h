/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Findings for other programs. */
#ifndef SPOTFIELD_OUTPUT_FINDINGS_H
#define SPOTFIELD_OUTPUT_FINDINGS_H

#include <jansson.h>

#include "spotfield/output.h"

/* Those of sf_outcome_findings as a list of { "section", "words", "ref", "x_mm", "y_mm" }; NULL
 * when memory is short. */
json_t *findings_json(const sf_outcome *outcome);

#endif
