/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Writing explanations line by line, so that words from files stay harmless on a terminal. */
#include "cli/explain_text.h"

#include <stdlib.h>
#include <string.h>

#include "cli/message.h"

static void put_lines(char *lines, FILE *to)
{
    for (char *end; (end = strchr(lines, '\n')); lines = end + 1) {
        *end = '\0';
        put_words(to, lines);
        putc('\n', to);
    }
}

bool explain_text_write(const sf_outcome *outcome, const size_t *parts, size_t count, FILE *to)
{
    for (size_t i = 0; i < count; i++) {
        char *said = NULL;
        if (sf_outcome_explain(outcome, parts[i], &said) != SF_OK)
            return false;
        put_lines(said, to);
        putc('\n', to);
        free(said);
    }
    put_caution(to);
    return true;
}
