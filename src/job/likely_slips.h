/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Asks about what no rule forbids and a slip explains, once all files of a job are read. */
#ifndef SPOTFIELD_JOB_LIKELY_SLIPS_H
#define SPOTFIELD_JOB_LIKELY_SLIPS_H

#include "job/intake.h"

/* Warns of values that each may have but that do not agree with one another, and of one that nobody
 * gave and much depends on. What could not be read is passed over: it was complained of. */
void slips_ask(struct intake *intake);

#endif
