/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Slips that all readings of a file share, as far as their places and values tell by themselves. */
#ifndef SPOTFIELD_JOB_ASKEW_H
#define SPOTFIELD_JOB_ASKEW_H

#include "job/intake.h"

/* Warns where readings lie off the board, but none would with y counted from the top, or with x and
 * y exchanged; and where values are beyond any board, but none would be as tenths. */
void askew_ask(struct intake *intake);

#endif
