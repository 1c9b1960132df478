/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Words as a printer sets them: signs instead of what a keyboard has, and no line break between a
 * number and its unit. */
#ifndef SPOTFIELD_OUTPUT_SET_WORDS_H
#define SPOTFIELD_OUTPUT_SET_WORDS_H

#include <stdbool.h>

#include "core/text.h"

/* A sentence that the library made: "61 C" is set as degrees, "uF" and "uA" with their own sign,
 * "+/-" as one sign, and numbers are kept with their units. */
void set_words(text *into, const char *words);

/* Whether the blank at `rest` in some words stands between a number and its unit, or on either side
 * of a plus-minus sign: a line must not end there. */
bool keeps_unit(const char *words, const char *rest);

#endif
