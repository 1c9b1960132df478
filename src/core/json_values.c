/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Values of the JSON that commands write, by jansson. */
#include "core/json_values.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/folders.h"
#include "core/memory.h"
#include "core/text.h"

enum { DIGITS = 9 };

/* JSON knows neither NaN nor infinity. */
json_t *value_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *value_count(size_t value)
{
    return json_integer((json_int_t)value);
}

/* File names need not be UTF-8, and JSON must be. */
json_t *value_words(const char *said)
{
    const char *at = said, *end = said + strlen(said);
    size_t length = 1;
    while (at < end && length > 0)
        at += length = utf8_length((const unsigned char *)at, (const unsigned char *)end);
    char *ascii = length > 0 ? NULL : text_copy(said);
    for (char *byte = ascii; byte && *byte; byte++)
        if ((unsigned char)*byte >= 0x80)
            *byte = '?';
    json_t *made = length > 0 ? json_string(said) : ascii ? json_string(ascii) : NULL;
    free(ascii);
    return made;
}

json_t *value_path(const char *folder, const char *name)
{
    char *joined = path_join(folder, name);
    json_t *made = joined ? value_words(joined) : NULL;
    free(joined);
    return made;
}

/* Adds to an array that may have failed already; answers it, or NULL. */
json_t *list_append(json_t *array, json_t *added)
{
    if (array && added && json_array_append_new(array, added) == 0)
        return array;
    if (!array)
        json_decref(added);
    json_decref(array);
    return NULL;
}

json_t *list_diagnostics(const sf_diagnostics *diagnostics)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < diagnostics->count; i++) {
        char *line = sf_diagnostic_text(&diagnostics->items[i]);
        all = list_append(all, line ? value_words(line) : NULL);
        free(line);
    }
    return all;
}

static int add_piece(const char *bytes, size_t count, void *context)
{
    text *into = context;
    text_add_bytes(into, bytes, count);
    return into->failed ? -1 : 0;
}

/* Not json_dumps: where memory is short for the name of a member, that goes on without it. */
char *json_text(const json_t *whole, int digits)
{
    text made = {0};
    size_t flags = JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION((size_t)digits);
    if (whole && json_dump_callback(whole, add_piece, &made, flags) == 0 && !made.failed)
        return text_take(&made);
    text_clear(&made);
    return NULL;
}

bool json_write(json_t *whole, FILE *to)
{
    bool written =
        whole && json_dumpf(whole, to, JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    json_decref(whole);
    return written && putc('\n', to) != EOF;
}
