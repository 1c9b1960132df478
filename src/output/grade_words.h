/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What hours and grade alone, and the meter, say of the parts of a board, in sentences. */
#ifndef SPOTFIELD_OUTPUT_GRADE_WORDS_H
#define SPOTFIELD_OUTPUT_GRADE_WORDS_H

#include "spotfield/output.h"

/* How many are past their rated life by hours and grade alone, and what to do about it; "" for
 * none. *coolest is then the coolest of them. New text, NULL when memory is short. */
char *by_grade_words(const sf_outcome *outcome, size_t *coolest);

/* What the meter says of an endurance that was only assumed; "" where it says nothing. New text,
 * NULL when memory is short. */
char *by_meter_words(const sf_outcome *outcome, const sf_grade_found *of);

#endif
