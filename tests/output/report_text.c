/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Makes the page, and counts in it. */
#include "output/report_text.h"

#include <string.h>

#include "core/text.h"
#include "output/sample.h"
#include "output/tables.h"
#include "support/check.h"

/* no-break blanks read as blanks */
static void free_blanks(char *words)
{
    char *to = words;
    for (const char *from = words; *from;) {
        bool blank = strncmp(from, "\u00A0", 2) == 0;
        *to++ = blank ? ' ' : *from;
        from += blank ? 2 : 1;
    }
    *to = '\0';
}

char *page_of(const sf_outcome *outcome)
{
    text html = {0};
    report_html(outcome, &sample_pictures, &html);
    char *taken = text_take(&html);
    assert_non_null(taken);
    free_blanks(taken);
    return taken;
}

size_t occurrences(const char *whole, const char *sought)
{
    size_t count = 0;
    for (const char *at = whole; (at = strstr(at, sought)); at += strlen(sought))
        count++;
    return count;
}
