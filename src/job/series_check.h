/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings that share an id. */
#ifndef SPOTFIELD_JOB_SERIES_CHECK_H
#define SPOTFIELD_JOB_SERIES_CHECK_H

#include "job/intake.h"

/* Tells a fault where rows of one id differ in place, method, unit or spot, or do not differ in
 * minute: they are one warm-up series. Units must still be as written. */
void series_check(struct intake *intake, const sf_reading *readings, size_t count);

#endif
