/* The sections of report.html, in their order on the page. */
#ifndef SPOTFIELD_OUTPUT_REPORT_PAGE_H
#define SPOTFIELD_OUTPUT_REPORT_PAGE_H

#include <stdbool.h>

#include "core/text.h"
#include "output/report/assets.h"
#include "spotfield/output.h"
#include "survey/facts.h"

/* Longest table on the page; what exceeds it is told, and all of it is in the CSV file. */
#define PAGE_ROWS_MAX 2000

/* Everything the sections draw from. */
typedef struct page {
    const sf_outcome *outcome;
    const sf_pictures *pictures;
    const size_t *order;               /* parts, worst first */
    const sf_reading_fit *const *fits; /* per observation */
    size_t counts[SF_VERDICT_COUNT];
    heat_range heat;
} page;

void page_verdict(const page *shown, text *into);
void page_map(const page *shown, text *into);
void page_zones(const page *shown, text *into);
void page_parts(const page *shown, text *into);
void page_kit(const page *shown, text *into);
void page_what_if(const page *shown, text *into);
void page_readings(const page *shown, text *into);
void page_sources(const page *shown, text *into);
void page_basis(const page *shown, text *into);
void page_cautions(const page *shown, text *into);

/* Pieces of a section that have a file of their own. */
void page_fit(const page *shown, text *into);

/* What the thermogram gave, for page_readings; nothing where there is none. */
void page_thermogram(const page *shown, text *into);
void page_rules(const page *shown, text *into);

/* What begins and ends every page: all up to the body, and all from the footer on. `rest` of the
 * title follows the board's name, as markup. */
void page_head(text *into, const char *name, const char *rest, const asset *style,
               const asset *script); /* the same with another style; script NULL: none */
void page_open(text *into, const char *name, const char *rest);
void page_close(text *into);
void page_marks(text *into); /* the drawings that page_mark points at */

/* Pieces that several sections use. */
void page_contents_entry(text *into, const char *id,
                         const char *title);                           /* a line of the contents */
void page_section_open(text *into, const char *id, const char *title); /* ends with </section> */
void page_mark(text *into, sf_verdict verdict);                        /* the verdict's disc */
void page_table_open(text *into, const char *name,                     /* class of the table */
                     const char *caption);                             /* markup */
void page_table_close(text *into);
void page_heading(text *into, const char *heading, const char *class_name, bool sortable);

#endif
