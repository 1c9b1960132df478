/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Text that grows. */
#include "core/text.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

static bool make_room(text *into, size_t more)
{
    if (into->failed)
        return false;
    char *grown = array_grow(into->bytes, &into->capacity, into->length + more + 1, 1);
    if (!grown) {
        into->failed = true;
        return false;
    }
    into->bytes = grown;
    return true;
}

void text_add_bytes(text *into, const void *bytes, size_t count)
{
    if (!make_room(into, count))
        return;
    if (count > 0)
        memcpy(into->bytes + into->length, bytes, count);
    into->length += count;
    into->bytes[into->length] = '\0';
}

void text_add(text *into, const char *words)
{
    text_add_bytes(into, words, strlen(words));
}

static bool needs_quotes(const char *words, const char *separators)
{
    size_t length = strlen(words);
    return strpbrk(words, "\"\r\n") || strpbrk(words, separators) || words[0] == '#' ||
           (length > 0 && (words[0] == ' ' || words[length - 1] == ' '));
}

void text_add_cell(text *into, const char *words, const char *separators, bool guarded)
{
    const char *mark = needs_quotes(words, separators) ? "\"" : "";
    text_add(into, mark);
    text_add(into, guarded ? "'" : "");
    for (const char *at = words; *at; at++) {
        text_add_bytes(into, at, 1);
        if (*at == '"')
            text_add_bytes(into, at, 1);
    }
    text_add(into, mark);
}

static void add_formatted(text *into, const char *format, va_list arguments)
{
    va_list again;
    va_copy(again, arguments);
    int count = vsnprintf(NULL, 0, format, arguments);
    if (count < 0) {
        into->failed = true;
    } else if (make_room(into, (size_t)count)) {
        vsnprintf(into->bytes + into->length, (size_t)count + 1, format, again);
        into->length += (size_t)count;
    }
    va_end(again);
}

void text_addf(text *into, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    add_formatted(into, format, arguments);
    va_end(arguments);
}

char *text_take(text *from)
{
    text_add(from, "");
    char *bytes = from->failed ? NULL : from->bytes;
    if (from->failed)
        free(from->bytes);
    *from = (text){0};
    return bytes;
}

void text_clear(text *discarded)
{
    free(discarded->bytes);
    *discarded = (text){0};
}

char *text_format(const char *format, ...)
{
    text made = {0};
    va_list arguments;
    va_start(arguments, format);
    add_formatted(&made, format, arguments);
    va_end(arguments);
    return text_take(&made);
}

/* --- characters of UTF-8 --- */

static bool is_continued(const unsigned char *at, const unsigned char *end, size_t count)
{
    if ((size_t)(end - at) <= count)
        return false;
    for (size_t i = 1; i <= count; i++)
        if ((at[i] & 0xC0) != 0x80)
            return false;
    return true;
}

size_t utf8_length(const unsigned char *at, const unsigned char *end)
{
    if (at[0] < 0x80)
        return 1;
    if (at[0] >= 0xC2 && at[0] <= 0xDF)
        return is_continued(at, end, 1) ? 2 : 0;
    if (at[0] >= 0xE0 && at[0] <= 0xEF) {
        bool fits = is_continued(at, end, 2) && !(at[0] == 0xE0 && at[1] < 0xA0) &&
                    !(at[0] == 0xED && at[1] > 0x9F);
        return fits ? 3 : 0;
    }
    if (at[0] >= 0xF0 && at[0] <= 0xF4) {
        bool fits = is_continued(at, end, 3) && !(at[0] == 0xF0 && at[1] < 0x90) &&
                    !(at[0] == 0xF4 && at[1] > 0x8F);
        return fits ? 4 : 0;
    }
    return 0;
}

/* The first of n bytes keeps 7 - n bits of the number, 7 where it is alone; each other keeps 6. */
uint32_t utf8_code(const unsigned char *at, size_t length)
{
    uint32_t code = length == 1 ? at[0] : at[0] & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++)
        code = code << 6 | (at[i] & 0x3Fu);
    return code;
}
