/* Decimal digits for files and pages: the same in every locale, never an exponent, never "-0". */
#ifndef SPOTFIELD_REPORT_NUMBER_H
#define SPOTFIELD_REPORT_NUMBER_H

#include "core/text.h"

/* Adds a value rounded to 0 to 9 decimals; nothing where it is not finite. */
void number_add(text *into, double value, int decimals);

/* The same with so many significant digits, 1 to 9, at most 9 decimals; the integer part stays
 * whole. */
void number_add_significant(text *into, double value, int digits);

/* The same with up to four decimals, as few as the number needs: "4.7", "100". */
void number_add_short(text *into, double value);

/* Rounded to an integer with a comma before each three digits: "131,400". */
void number_add_grouped(text *into, double value);

#endif
