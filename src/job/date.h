/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Dates of a survey. */
#ifndef SPOTFIELD_JOB_DATE_H
#define SPOTFIELD_JOB_DATE_H

/* The decimal year of "YYYY-MM-DD" (ISO 8601, Gregorian calendar), such as 2026.5 in the middle of
 * 2026, or of "YYYY", its first day; NAN where the text is neither or outside 1900 to 2100. */
double date_year(const char *text);

#endif
