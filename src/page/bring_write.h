/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was brought, into the files of a job: one step that the page can take back. */
#ifndef SPOTFIELD_PAGE_BRING_WRITE_H
#define SPOTFIELD_PAGE_BRING_WRITE_H

#include "job/bring.h"

/* What a file would get of it. */
typedef struct bring_counts {
    size_t parts, sources, readings;
} bring_counts;

bring_counts bring_count(const bring *of);

/* Adds rows for what the job has not, all of it or nothing. `method` as readings.csv has it.
 * SF_ERROR_MISSING where a page has the job open (told), SF_ERROR_DATA where a file of the job is
 * no table of it (told), SF_ERROR_WRITE, SF_ERROR_MEMORY. */
sf_status bring_write(const bring *of, const char *method, sf_diagnostics *diagnostics);

#endif
