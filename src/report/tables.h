/* The result files, one function each: adds the content of the file to `into`. */
#ifndef SPOTFIELD_REPORT_TABLES_H
#define SPOTFIELD_REPORT_TABLES_H

#include "core/text.h"
#include "spotfield/report.h"

void parts_csv(const sf_outcome *outcome, text *into);
void readings_csv(const sf_outcome *outcome, text *into);
void field_csv(const sf_outcome *outcome, text *into);
void sources_csv(const sf_outcome *outcome, text *into);
void zones_csv(const sf_outcome *outcome, text *into);
void kit_csv(const sf_outcome *outcome, text *into);
void order_csv(const sf_outcome *outcome, text *into);
void heat_png(const sf_outcome *outcome, text *into);
void doubt_png(const sf_outcome *outcome, text *into);
void report_html(const sf_outcome *outcome, text *into);

#endif
