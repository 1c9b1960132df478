/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers, dates and tolerances as people and spreadsheets write them. */
#ifndef SPOTFIELD_JOB_NUMBER_H
#define SPOTFIELD_JOB_NUMBER_H

#include <stdbool.h>
#include <stddef.h>

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

/* The decimal year of "YYYY-MM-DD" (ISO 8601, Gregorian calendar), such as 2026.5 in the middle of
 * 2026, or of "YYYY", its first day; NAN where the text is neither or outside 1900 to 2100. */
double date_year(const char *text);

/* --- tolerance of a capacitance marking --- */

/* Both not negative, per cent of the marking: { 10, 50 } is -10/+50 %. */
struct tolerance {
    double low_pct, high_pct;
};

/* Reads "20", "-20/+50", "+50/-20" (each with % or without) or a letter of IEC 60062, such as "M".
 * Low at most 100, high at most 200. */
bool tolerance_read(const char *text, bool decimal_comma, struct tolerance *tolerance);

/* --- values that capacitors are made in --- */

enum { E12_VALUES = 12 };

/* IEC 60063, E12, and the ten after it; every second is of E6, every fourth of E3. */
extern const double e12_decade[E12_VALUES + 1];

bool capacitance_is_preferred(double capacitance_uf);
bool voltage_is_preferred(double rated_v);

/* --- units --- */

/* Converts *value from the unit `written` to the unit `held` ("mm", "um", "C", "K" as a difference,
 * "h", "year", "%"); `written` "" means held already. False where it cannot. */
bool unit_convert(const char *held, const char *written, double *value);

/* What a temperature comes to that was read in Fahrenheit. */
double fahrenheit_to_c(double value);

/* Writes the units that convert to `held`, as "mm, cm, m or in"; "a blank cell" where none does. */
void unit_list(const char *held, char *list, size_t size);

#endif
