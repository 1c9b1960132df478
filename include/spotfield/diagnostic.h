/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is wrong with the input, gathered so that all of it can be reported in one run. */
#ifndef SPOTFIELD_DIAGNOSTIC_H
#define SPOTFIELD_DIAGNOSTIC_H

#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/status.h"

SF_BEGIN_C

typedef enum sf_severity {
    SF_WARNING, /* the job goes on; the user should know */
    SF_ERROR    /* the job cannot go on */
} sf_severity;

/* One fault: "file:line: column: what is wrong, expected what". All texts belong to the list. */
typedef struct sf_diagnostic {
    sf_severity severity;
    char *file;     /* name inside the job folder, such as "parts.csv" */
    size_t line;    /* physical line, from 1; 0 where the whole file is meant */
    char *column;   /* name of the column or key; "" where none is meant */
    char *what;     /* what is wrong */
    char *expected; /* what is expected; "" where there is nothing to add */
} sf_diagnostic;

/* A list that grows; start it as { 0 } and end it with sf_diagnostics_clear. It keeps at most
 * SF_DIAGNOSTICS_KEPT texts, errors and warnings together, and counts the rest; in a full list the
 * last warning gives its place to an error. */
typedef struct sf_diagnostics {
    sf_diagnostic *items;
    size_t count;         /* diagnostics kept in items */
    size_t error_count;   /* errors seen, kept or not */
    size_t warning_count; /* warnings seen, kept or not */
} sf_diagnostics;

#define SF_DIAGNOSTICS_KEPT 1000

/* Adds one diagnostic; texts are copied, NULL counts as "". The two counts rise in any case.
 * SF_ERROR_MEMORY when the text could not be kept. */
SF_API sf_status sf_diagnose(sf_diagnostics *list, sf_severity severity, const char *file,
                             size_t line, const char *column, const char *what,
                             const char *expected);

/* The diagnostic as one line "file:line: column: what, expected ..." in a new string the caller
 * frees with free(); parts that are empty, and line 0, are left out. NULL when memory is short. */
SF_API char *sf_diagnostic_text(const sf_diagnostic *diagnostic);

/* Frees every text and leaves the list empty and usable; NULL is fine. */
SF_API void sf_diagnostics_clear(sf_diagnostics *list);

SF_END_C

#endif
