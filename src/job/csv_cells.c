/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One scan for all that reads CSV files; it tells nothing of faults by itself. */
#include "job/csv_cells.h"

#include <string.h>
#include <strings.h>

static bool is_line_end(char byte)
{
    return byte == '\n' || byte == '\r';
}

/* --- separator --- */

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

static char separator_find(const char *bytes, size_t size)
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

/* --- rows and cells --- */

size_t csv_mark(const char *bytes, size_t size)
{
    return size >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

struct csv_cells csv_open(const char *bytes, size_t size)
{
    struct csv_cells in = {.bytes = bytes, .size = size, .line = 1};
    in.at = csv_mark(bytes, size);
    size_t length = separator_line(bytes + in.at, size - in.at, &in.separator);
    if (length == 0)
        in.separator = separator_find(bytes + in.at, size - in.at);
    in.at += length;
    return in;
}

/* Of CR and LF together the LF ends the line. */
static bool ends_line(const struct csv_cells *in, size_t at)
{
    bool crlf = at + 1 < in->size && in->bytes[at] == '\r' && in->bytes[at + 1] == '\n';
    return is_line_end(in->bytes[at]) && !crlf;
}

static void pass_line_end(struct csv_cells *in, size_t at)
{
    if (at < in->size) {
        at += ends_line(in, at) ? 1 : 2;
        in->line++;
    }
    in->at = at;
}

bool csv_next_row(struct csv_cells *in)
{
    while (in->at < in->size && in->bytes[in->at] == '#')
        pass_line_end(in, in->at + line_length(in->bytes + in->at, in->size - in->at));
    return in->at < in->size;
}

bool csv_next_cell(struct csv_cells *in)
{
    bool quoted = false;
    size_t at = in->start = in->at;
    in->start_line = in->line;
    for (; at < in->size; at++) {
        char byte = in->bytes[at];
        if (byte == '"')
            quoted = !quoted;
        else if (!quoted && (byte == in->separator || is_line_end(byte)))
            break;
        if (is_line_end(byte))
            in->line += ends_line(in, at);
    }
    in->end = at;
    in->ends_row = at >= in->size || in->bytes[at] != in->separator;
    in->at = at + 1;
    if (in->ends_row)
        pass_line_end(in, at);
    return !quoted;
}

static bool is_blank(char byte)
{
    return byte == ' ' || byte == '\t';
}

const char *csv_misplaced(const char *start, const char *end)
{
    const char *at = start;
    while (at < end && is_blank(*at))
        at++;
    if (at == end || *at != '"')
        return memchr(at, '"', (size_t)(end - at));
    for (at++; at < end && (*at != '"' || (at + 1 < end && at[1] == '"')); at++)
        at += *at == '"';
    for (at += at < end; at < end && is_blank(*at);)
        at++;
    return at < end ? at : NULL;
}

/* --- text of a cell --- */

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

/* Takes quotation marks away in place: those about the cell, and one of each doubled pair. */
static size_t unquote(char *raw, size_t length)
{
    char *to = raw;
    bool quoted = false;
    for (const char *from = raw; from < raw + length; from++) {
        bool mark = *from == '"';
        if (mark && quoted && from[1] == '"')
            *to++ = *from++;
        else if (mark)
            quoted = !quoted;
        else
            *to++ = *from;
    }
    return (size_t)(to - raw);
}

void csv_add_text(text *into, const char *start, const char *end)
{
    size_t before = into->length;
    text_add_bytes(into, start, (size_t)(end - start));
    if (into->failed)
        return;
    char *cell = into->bytes + before;
    const char *from = cell, *to = cell + unquote(cell, into->length - before);
    cell_text_trim(&from, &to);
    memmove(cell, from, (size_t)(to - from));
    into->length = before + (size_t)(to - from);
    into->bytes[into->length] = '\0';
}
