/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers as people and spreadsheets write them. */
#ifndef SPOTFIELD_JOB_NUMBER_H
#define SPOTFIELD_JOB_NUMBER_H

#include <stdbool.h>

typedef enum number_fault {
    NUMBER_FINE,
    NUMBER_NONE,  /* no number, or something stands after it */
    NUMBER_COMMA, /* a decimal comma where commas part the cells */
    NUMBER_MIXED, /* a point and a comma in one number */
    NUMBER_LARGE  /* beyond the range of a double */
} number_fault;

struct number {
    double value; /* finite */
    bool has_point, has_comma;
};

/* Reads a whole text as one decimal number: sign, digits, one decimal mark, exponent. U+2212 counts
 * as minus; a no-break space (U+00A0, U+202F) before groups of three digits is passed over. Not
 * taken: nan, inf, hexadecimal. The numeric locale of the thread must be that of C. */
number_fault number_read(const char *text, bool decimal_comma, struct number *number);

#endif
