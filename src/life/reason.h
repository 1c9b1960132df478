/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The verdict on one part in a line that its owner can read. */
#ifndef SPOTFIELD_LIFE_REASON_H
#define SPOTFIELD_LIFE_REASON_H

#include "life/decide.h"

/* Bytes above which the interval of the share used is left out, then the hours, then what was
 * assumed. */
#define REASON_LENGTH 150

/* New text, seldom longer than REASON_LENGTH, freed with free(); NULL when memory is short. */
char *reason_write(const part_context *of);

#endif
