/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Takes blanks and the formula guard off a cell. */
#include "job/cell_text.h"

#include <stdbool.h>
#include <string.h>

/* Blanks as people see them: space, tab, and the no-break spaces U+00A0 and U+202F. */
size_t cell_text_blank(const char *at, const char *end)
{
    if (*at == ' ' || *at == '\t' || *at == '\n' || *at == '\r')
        return 1;
    if (end - at >= 2 && memcmp(at, "\xC2\xA0", 2) == 0)
        return 2;
    return end - at >= 3 && memcmp(at, "\xE2\x80\xAF", 3) == 0 ? 3 : 0;
}

static const char *trim_start(const char *start, const char *end)
{
    for (size_t blank; start < end && (blank = cell_text_blank(start, end)) > 0;)
        start += blank;
    return start;
}

static const char *trim_end(const char *start, const char *end)
{
    for (;;) {
        const char *before = end;
        for (ptrdiff_t width = 1; width <= 3 && width <= end - start; width++)
            if (cell_text_blank(end - width, end) == (size_t)width) {
                end -= width;
                break;
            }
        if (end == before)
            return end;
    }
}

/* OWASP, CSV Injection: our own files guard such text with an apostrophe. */
static const char *skip_formula_guard(const char *start, const char *end)
{
    bool guarded = end - start >= 2 && start[0] == '\'' && strchr("=+-@", start[1]) != NULL;
    return guarded ? start + 1 : start;
}

void cell_text_trim(const char **start, const char **end)
{
    *start = trim_start(*start, *end);
    *end = trim_end(*start, *end);
    *start = skip_formula_guard(*start, *end);
}
