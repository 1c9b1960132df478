/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Decimal digits for files and pages: the same in every locale, never an exponent, never "-0". */
#ifndef SPOTFIELD_CORE_DIGITS_H
#define SPOTFIELD_CORE_DIGITS_H

#include "core/text.h"

/* Adds a value rounded to 0 to 9 decimals; nothing where it is not finite. */
void number_add(text *into, double value, int decimals);

/* The same with so many significant digits, 1 to 9, at most 9 decimals; the integer part stays
 * whole. */
void number_add_significant(text *into, double value, int digits);

/* The same with up to four decimals, as few as the number needs: "4.7", "100". */
void number_add_short(text *into, double value);

/* What people read, in every sentence and on every page: a comma before each three digits from
 * 1,000 up. Files have the functions above. Rounded to an integer: "131,400". */
void number_add_grouped(text *into, double value);

/* The same with up to four decimals, as few as the number needs: "4.7", "1,234.5". */
void number_add_told(text *into, double value);

#endif
