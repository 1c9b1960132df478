/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From a corrected spot to the observation that the field is fitted to. */
#ifndef SPOTFIELD_READINGS_OBSERVATION_H
#define SPOTFIELD_READINGS_OBSERVATION_H

#include <stdbool.h>

#include "readings/correction.h"
#include "readings/settle.h"
#include "spotfield/reading.h"

/* Adds what method, spot and policy ask for: default doubt, bead, a can's own heat; says all of
 * it in the remark. False where memory is short, told in run->status. */
bool observation_make(correction *run, const settled *spot, sf_observation *made);

#endif
