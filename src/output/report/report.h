/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The sections of report.html, in their order on the page. */
#ifndef SPOTFIELD_OUTPUT_REPORT_REPORT_H
#define SPOTFIELD_OUTPUT_REPORT_REPORT_H

#include <stdbool.h>

#include "core/text.h"
#include "output/report/report_assets.h"
#include "spotfield/output.h"
#include "survey/facts.h"

/* Longest table on the page; what exceeds it is told, and all of it is in the CSV file. */
#define REPORT_ROWS_MAX 2000

/* Everything the sections draw from. */
typedef struct report {
    const sf_outcome *outcome;
    const sf_pictures *pictures;
    const size_t *order;               /* parts, worst first */
    const sf_reading_fit *const *fits; /* per observation */
    size_t counts[SF_VERDICT_COUNT];
    heat_range heat;
} report;

void report_verdict(const report *shown, text *into);
void report_map(const report *shown, text *into);
void report_zones(const report *shown, text *into);
void report_parts(const report *shown, text *into);
void report_kit(const report *shown, text *into);
void report_what_if(const report *shown, text *into);
void report_readings(const report *shown, text *into);
void report_sources(const report *shown, text *into);
void report_basis(const report *shown, text *into);
void report_cautions(const report *shown, text *into);

/* Pieces of a section that have a file of their own, or another page. */
void report_kit_table(const sf_kit *kit, text *into);
void report_fit(const report *shown, text *into);

/* What begins and ends every page: all up to the body, and all from the footer on. `rest` of the
 * title follows the board's name, as markup. Pictures are within the page, or `pictures` says from
 * where they may come, as CSP has it. */
void report_head(text *into, const char *name, const char *rest, const char *pictures,
                 const asset *style, const asset *script); /* NULL: none */
void report_open(text *into, const char *name, const char *rest);
void report_close(text *into);
void report_marks(text *into); /* the drawings that report_mark points at */

/* Pieces that several sections use. */
void report_contents_entry(text *into, const char *id,
                           const char *title); /* a line of the contents */
void report_section_open(text *into, const char *id, const char *title); /* ends with </section> */
void report_warning(const char *where, text *into); /* of what kills, "before you reach into" it */
/* A line of the list of facts at the head of a page; none where it is NULL or "". */
void report_fact(const char *term, const char *said, text *into);
void report_mark(text *into, sf_verdict verdict); /* the verdict's disc */
/* A table up to its first row. name: its class; headings: each its class and its words, such as
 * "name Zone|number Area", with a + before the class of a column that sorts. */
void report_table_open(text *into, const char *name, const char *caption, const char *headings);
void report_table_close(text *into);

#endif
