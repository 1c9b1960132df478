/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A whole job as one JSON object, for other programs: docs/schema/job.json. */
#ifndef SPOTFIELD_PAGE_JOB_JSON_H
#define SPOTFIELD_PAGE_JOB_JSON_H

#include <jansson.h>

#include "core/text.h"
#include "job/files.h"
#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* The tables of a job as bytes, in the order of job_table_names; one that is not there has none. */
typedef struct job_tables {
    text bytes[JOB_TABLES];
    size_t rows[JOB_TABLES]; /* below the header; of thermogram.csv 0 */
} job_tables;

void job_tables_clear(job_tables *ended);

/* The tables of a folder: {"schema", "tables": {NAME: {"columns", "rows"}}}, thermogram.csv as
 * {"text"}. Comments, separators and the decimal comma are left behind. SF_ERROR_MISSING where a
 * file cannot be read or there is none, SF_ERROR_DATA where one is no table, both told;
 * SF_ERROR_MEMORY. */
sf_status job_json_make(const char *folder, json_t **made, sf_diagnostics *diagnostics);

/* The tables that JSON holds; every fault is told as `name` and the path of its member.
 * SF_ERROR_DATA, SF_ERROR_MEMORY. After an error there is nothing to clear. */
sf_status job_json_take(const char *name, const char *bytes, size_t size, job_tables *into,
                        sf_diagnostics *diagnostics);

/* The same of a file. SF_ERROR_MISSING where it cannot be read, told. */
sf_status job_json_read(const char *file, job_tables *into, sf_diagnostics *diagnostics);

/* Writes them into a folder, which is made; nothing is written where one of its files has the name
 * of a table: SF_ERROR_DATA, told. SF_ERROR_MISSING where a page has the job open (told),
 * SF_ERROR_WRITE, SF_ERROR_MEMORY. */
sf_status job_tables_write(const char *folder, const job_tables *of, sf_diagnostics *diagnostics);

#endif
