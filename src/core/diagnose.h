/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A diagnostic whose words were put together for it, and the words for errno. */
#ifndef SPOTFIELD_CORE_DIAGNOSE_H
#define SPOTFIELD_CORE_DIAGNOSE_H

#include "spotfield/diagnostic.h"

/* As sf_diagnose; takes the words over, NULL where memory was short for them. */
sf_status diagnose_taking(sf_diagnostics *list, sf_severity severity, const char *file, size_t line,
                          const char *column, char *what, const char *expected);

/* What an errno means, for the line of a diagnostic. */
typedef struct errno_words {
    char words[128];
} errno_words;

errno_words reason_of(int number);

#endif
