/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tolerance of a capacitance marking. */
#ifndef SPOTFIELD_JOB_TOLERANCE_H
#define SPOTFIELD_JOB_TOLERANCE_H

#include <stdbool.h>

/* Both not negative, per cent of the marking: { 10, 50 } is -10/+50 %. */
struct tolerance {
    double low_pct, high_pct;
};

/* Reads "20", "-20/+50", "+50/-20" (each with % or without) or a letter of IEC 60062, such as "M".
 * Low at most 100, high at most 200. */
bool tolerance_read(const char *text, bool decimal_comma, struct tolerance *tolerance);

#endif
