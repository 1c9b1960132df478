/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The result tables of an outcome, each a function that adds the content of the file, and the rows
 * of those that are told as JSON too. */
#ifndef SPOTFIELD_OUTPUT_TABLES_H
#define SPOTFIELD_OUTPUT_TABLES_H

#include <jansson.h>

#include "output/record.h"
#include "spotfield/output.h"

/* Readings with their fits, for a table of them. */
typedef struct fitted_readings {
    const sf_observation *observations;
    const sf_reading_fit **fits;
} fitted_readings;

record_teller part_record;   /* of an sf_outcome */
record_teller zone_record;   /* of an sf_zones */
record_teller source_record; /* of an sf_outcome */
record_teller kit_record;    /* of an sf_kit */
record_teller order_record;  /* of an sf_kit */
record_teller plan_record;   /* of an sf_plan */

void parts_csv(const sf_outcome *outcome, text *into);
void readings_csv(const sf_outcome *outcome, text *into);
void field_csv(const sf_outcome *outcome, text *into);
void sources_csv(const sf_outcome *outcome, text *into);
void zones_csv(const sf_outcome *outcome, text *into);
void kit_csv(const sf_outcome *outcome, text *into);
void order_csv(const sf_outcome *outcome, text *into);
void report_html(const sf_outcome *outcome, const sf_pictures *pictures, text *into);

/* --- findings for other programs --- */

/* Those of sf_outcome_findings as a list of { "section", "words", "ref", "x_mm", "y_mm" }; NULL
 * when memory is short. */
json_t *findings_json(const sf_outcome *outcome);

#endif
