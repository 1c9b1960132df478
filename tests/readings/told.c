/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Diagnostics as lines, and what stands in them. */
#include "readings/told.h"

#include <stdlib.h>
#include <string.h>

#include "support/check.h"

const char *diagnostic(const sf_diagnostics *diagnostics, size_t i)
{
    static char line[512];
    line[0] = '\0';
    if (i < diagnostics->count) {
        char *words = sf_diagnostic_text(&diagnostics->items[i]);
        assert_non_null(words);
        strncpy(line, words, sizeof line - 1);
        free(words);
    }
    return line;
}

void assert_begins(const char *text, const char *beginning)
{
    if (strncmp(text, beginning, strlen(beginning)) != 0)
        assert_string_equal(text, beginning);
}

void assert_holds(const char *text, const char *part)
{
    if (!strstr(text, part))
        assert_string_equal(text, part);
}
