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

/* A number as people read it. */
typedef struct told_number {
    char bytes[64];
} told_number;

/* What people read, in every sentence and on every page: up to four decimals, as few as the number
 * needs, and a comma before each three digits from 1,000 up: "4.7", "131,400". Files have the
 * functions above. Empty where it is not finite. */
told_number number_told(double value);

/* The same rounded to a whole number. */
told_number whole_told(double value);

/* As number_add: "61.30"; with an exponent where not all digits would be known. */
told_number fixed_told(double value, int decimals);

#endif
