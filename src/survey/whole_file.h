/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Slips that all readings share: tried as hypotheses, by the evidence of the field's own model. */
#ifndef SPOTFIELD_SURVEY_WHOLE_FILE_H
#define SPOTFIELD_SURVEY_WHOLE_FILE_H

#include "spotfield/survey.h"

/* Where something is off with the field of an outcome, fits it on a coarse grid as the readings are
 * and under each hypothesis: Fahrenheit, y counted from the top, x and y exchanged, inches, tenths,
 * a digit too few. One that fits far better and is plausible becomes outcome->whole_file and a
 * warning; none: it stays NULL. options: of the field. SF_ERROR_MEMORY. */
sf_status whole_file_ask(sf_outcome *outcome, const sf_field_options *options,
                         sf_diagnostics *diagnostics);

#endif
