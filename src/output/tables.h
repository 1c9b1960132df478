/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The result files, one function each: adds the content of the file to `into`. */
#ifndef SPOTFIELD_OUTPUT_TABLES_H
#define SPOTFIELD_OUTPUT_TABLES_H

#include "core/text.h"
#include "spotfield/output.h"

void parts_csv(const sf_outcome *outcome, text *into);
void readings_csv(const sf_outcome *outcome, text *into);
void field_csv(const sf_outcome *outcome, text *into);
void sources_csv(const sf_outcome *outcome, text *into);
void zones_csv(const sf_outcome *outcome, text *into);
void kit_csv(const sf_outcome *outcome, text *into);
void order_csv(const sf_outcome *outcome, text *into);
void report_html(const sf_outcome *outcome, const sf_pictures *pictures, text *into);

#endif
