/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Takes blanks and the formula guard off a cell; finds the separator of a file. */
#include "job/cell_text.h"

#include <stdbool.h>
#include <string.h>
#include <strings.h>

/* Bytes of the blank that stands at `at`, 0 where none does. Blanks as people see them: space, tab,
 * and the no-break spaces U+00A0 and U+202F. */
static size_t blank_at(const char *at, const char *end)
{
    if (*at == ' ' || *at == '\t' || *at == '\n' || *at == '\r')
        return 1;
    if (end - at >= 2 && memcmp(at, "\xC2\xA0", 2) == 0)
        return 2;
    return end - at >= 3 && memcmp(at, "\xE2\x80\xAF", 3) == 0 ? 3 : 0;
}

static const char *trim_start(const char *start, const char *end)
{
    for (size_t blank; start < end && (blank = blank_at(start, end)) > 0;)
        start += blank;
    return start;
}

static const char *trim_end(const char *start, const char *end)
{
    for (;;) {
        const char *before = end;
        for (ptrdiff_t width = 1; width <= 3 && width <= end - start; width++)
            if (blank_at(end - width, end) == (size_t)width) {
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

/* --- which character parts the cells of a file --- */

static bool is_line_end(char byte)
{
    return byte == '\n' || byte == '\r';
}

static size_t line_length(const char *bytes, size_t size)
{
    size_t length = 0;
    while (length < size && !is_line_end(bytes[length]))
        length++;
    return length;
}

size_t separator_line(const char *bytes, size_t size, char *separator)
{
    size_t length = line_length(bytes, size);
    size_t start = length > 0 && bytes[0] == '"' ? 1 : 0;
    if (length < start + 5 || strncasecmp(bytes + start, "sep=", 4) != 0)
        return 0;
    for (size_t i = start + 5; i < length; i++)
        if (!strchr("\" ,;\t", bytes[i]))
            return 0; /* a name that begins so */
    *separator = bytes[start + 4];
    return length;
}

static size_t header_start(const char *bytes, size_t size)
{
    size_t start = 0;
    while (start < size) {
        size_t length = line_length(bytes + start, size - start), blanks = 0;
        while (blanks < length && (bytes[start + blanks] == ' ' || bytes[start + blanks] == '\t'))
            blanks++;
        if (blanks < length && bytes[start] != '#')
            break;
        start += length + 1;
    }
    return start < size ? start : size;
}

char separator_find(const char *bytes, size_t size)
{
    size_t commas = 0, semicolons = 0, tabs = 0;
    bool quoted = false;
    for (size_t i = header_start(bytes, size); i < size; i++) {
        if (bytes[i] == '"')
            quoted = !quoted;
        else if (!quoted && is_line_end(bytes[i]))
            break;
        commas += !quoted && bytes[i] == ',';
        semicolons += !quoted && bytes[i] == ';';
        tabs += !quoted && bytes[i] == '\t';
    }
    if (semicolons > commas && semicolons >= tabs)
        return ';';
    return tabs > commas ? '\t' : ',';
}
