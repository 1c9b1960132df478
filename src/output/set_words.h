/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Words as a printer sets them: signs instead of what a keyboard has, and no line break between a
 * number and its unit; sentences that several tell. */
#ifndef SPOTFIELD_OUTPUT_SET_WORDS_H
#define SPOTFIELD_OUTPUT_SET_WORDS_H

#include <stdbool.h>

#include "core/text.h"
#include "spotfield/output.h"

/* A sentence that the library made: "61 C" is set as degrees, "uF" and "uA" with their own sign,
 * "+/-" as one sign, and numbers are kept with their units. */
void set_words(text *into, const char *words);

/* Whether the blank at `rest` in some words stands between a number and its unit, or on either side
 * of a plus-minus sign: a line must not end there. */
bool keeps_unit(const char *words, const char *rest);

/* --- what the hours, hours and grade alone, and the meter, say of the parts of a board --- */

/* That the hours told do not agree with the years, and how many parts are checked for that alone;
 * "" where they do. New text, NULL when memory is short. */
char *hours_words(const sf_outcome *outcome);

/* How many are past their rated life by hours and grade alone, and what to do about it; "" for
 * none. *coolest is then the coolest of them. New text, NULL when memory is short. */
char *by_grade_words(const sf_outcome *outcome, size_t *coolest);

/* What the meter says of an endurance that was only assumed; "" where it says nothing. New text,
 * NULL when memory is short. */
char *by_meter_words(const sf_outcome *outcome, const sf_grade_found *of);

/* --- what is said to whoever reads on a running board --- */

/* Asked of whoever reads on a board of which nobody has told the no-touch areas. Plain ASCII,
 * without a sign that means something in HTML. */
extern const char keepout_question[];

/* What to mind before reading on a running board, the gravest first; ended by NULL. Plain ASCII
 * too. */
extern const char *const probing_cautions[];

#endif
