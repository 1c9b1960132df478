/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finds the separator of a file from its first lines. */
#include "job/separator.h"

#include <stdbool.h>
#include <strings.h>

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
