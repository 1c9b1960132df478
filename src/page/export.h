/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The export: the same results as those of a mapping by the command line. */
#ifndef SPOTFIELD_PAGE_EXPORT_H
#define SPOTFIELD_PAGE_EXPORT_H

#include <jansson.h>

#include "core/text.h"
#include "spotfield/output.h"

/* A job that is mapped and drawn, to be written. */
typedef struct mapping {
    sf_job *job;
    sf_outcome *outcome;
    sf_pictures pictures;
} mapping;

/* Errors: those of sf_job_read, sf_map_job and sf_outcome_draw. *made is ended with results_clear
 * in any case. */
sf_status results_make(const char *folder, mapping *made, sf_diagnostics *diagnostics);
void results_clear(mapping *made);

/* The names of the results as an array; NULL when memory is short. */
json_t *results_names(void);

/* Reads one of them and tells its media type. SF_ERROR_MISSING where there is none of that name: a
 * link is none, since it may lead out of the job; so is, of a folder that is the job's `own`, that
 * folder itself. */
sf_status result_read(const char *results, bool own, const char *name, text *into,
                      const char **type);

/* The content security policy for results: the report brings its own style and script along, and
 * names them in a stricter policy of its own. */
extern const char result_policy[];

#endif
