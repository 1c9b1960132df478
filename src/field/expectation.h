/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the heat balance expects of a board before any reading. */
#ifndef SPOTFIELD_FIELD_EXPECTATION_H
#define SPOTFIELD_FIELD_EXPECTATION_H

#include "field/length_average.h"

/* Sets the hyperparameters of the priors of the data of a board without readings, then its expected
 * fields at several spreading lengths and sizes of all heat, unlisted sources at their prior.
 * *averaged is ended with length_average_clear in any case. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status length_average_expect(fit_data *data, balance *matrix, const candidates *seek,
                                length_average *averaged);

#endif
