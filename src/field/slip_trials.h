/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Slips of the pen in one reading or two, each held against what was written, by evidence (Bayes
 * factors). */
#ifndef SPOTFIELD_FIELD_SLIP_TRIALS_H
#define SPOTFIELD_FIELD_SLIP_TRIALS_H

#include "field/length_fit.h"

/* Log evidence that each of the input's slips gains over the readings as they are, with or without
 * what was found unlisted, at the length of a fit of them. Only the most likely are fitted; the
 * others stay at -INFINITY. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status slips_weigh(const fit_data *data, const length_fit *fit, double *gains);

#endif
