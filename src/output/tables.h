/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The result tables and their cells: RFC 4180 with LF line ends, safe to open in a spreadsheet. */
#ifndef SPOTFIELD_OUTPUT_TABLES_H
#define SPOTFIELD_OUTPUT_TABLES_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"
#include "spotfield/output.h"

/* Each adds one cell to the row being written; csv_end_row ends it. A number that is not finite
 * leaves its cell blank. */

/* Words from a file. Quoted only where the format asks for it. Where a spreadsheet would take
 * them for a formula (first character = + - @ TAB CR LF) an apostrophe goes before, as the OWASP
 * page "CSV Injection" advises. */
void csv_text(text *into, const char *words);
void csv_number(text *into, double value, int decimals);
void csv_significant(text *into, double value, int digits);
void csv_short(text *into, double value); /* up to four decimals, as few as needed */
void csv_count(text *into, size_t count);
void csv_yes_no(text *into, bool yes);

/* Ends a row that has at least one cell. */
void csv_end_row(text *into);

/* --- the result files, one function each that adds the content of the file to `into` --- */

void parts_csv(const sf_outcome *outcome, text *into);
void readings_csv(const sf_outcome *outcome, text *into);
void field_csv(const sf_outcome *outcome, text *into);
void sources_csv(const sf_outcome *outcome, text *into);
void zones_csv(const sf_outcome *outcome, text *into);
void kit_csv(const sf_outcome *outcome, text *into);
void order_csv(const sf_outcome *outcome, text *into);
/* The two about a kit, for one that is of no single outcome. */
void kit_lines_csv(const sf_kit *kit, text *into);
void order_lines_csv(const sf_kit *kit, text *into);
void report_html(const sf_outcome *outcome, const sf_pictures *pictures, text *into);

#endif
