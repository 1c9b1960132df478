/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The list of faults that every reader adds to, and the words for what the system and we answer. */
#include "core/diagnose.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/platform.h"
#include "core/text.h"
#include "spotfield/status.h"

static void free_texts(sf_diagnostic *diagnostic)
{
    free(diagnostic->file);
    free(diagnostic->column);
    free(diagnostic->what);
    free(diagnostic->expected);
}

static bool make_place(sf_diagnostics *list)
{
    size_t capacity = list->count;
    sf_diagnostic *grown = list->items;
    /* grows at powers of two only, so that the capacity need not be kept */
    if ((list->count & (list->count - 1)) == 0)
        grown = array_grow(list->items, &capacity, list->count ? list->count * 2 : 1,
                           sizeof *list->items);
    if (grown)
        list->items = grown;
    return grown != NULL;
}

/* Of a full list the last warning gives way to an error; false where there is none. */
static bool drop_warning(sf_diagnostics *list)
{
    size_t at = list->count;
    while (at > 0 && list->items[at - 1].severity != SF_WARNING)
        at--;
    if (at == 0)
        return false;
    free_texts(&list->items[at - 1]);
    memmove(&list->items[at - 1], &list->items[at], (list->count - at) * sizeof *list->items);
    list->count--;
    return true;
}

sf_status sf_diagnose(sf_diagnostics *list, sf_severity severity, const char *file, size_t line,
                      const char *column, const char *what, const char *expected)
{
    if (severity == SF_ERROR)
        list->error_count++;
    else
        list->warning_count++;
    bool full = list->count >= SF_DIAGNOSTICS_KEPT;
    if (full && severity != SF_ERROR)
        return SF_OK;
    sf_diagnostic added = {severity,          text_copy(file), line,
                           text_copy(column), text_copy(what), text_copy(expected)};
    bool copied = added.file && added.column && added.what && added.expected;
    if (copied && full && !drop_warning(list)) {
        free_texts(&added);
        return SF_OK;
    }
    if (!copied || (!full && !make_place(list))) {
        free_texts(&added);
        return SF_ERROR_MEMORY;
    }
    list->items[list->count++] = added;
    return SF_OK;
}

sf_status diagnose_taking(sf_diagnostics *list, sf_severity severity, const char *file, size_t line,
                          const char *column, char *what, const char *expected)
{
    sf_status status =
        what ? sf_diagnose(list, severity, file, line, column, what, expected) : SF_ERROR_MEMORY;
    free(what);
    return status;
}

char *sf_diagnostic_text(const sf_diagnostic *diagnostic)
{
    text line = {0};
    if (diagnostic->file[0])
        text_add(&line, diagnostic->file);
    if (diagnostic->line > 0)
        text_addf(&line, ":%zu", diagnostic->line);
    if (line.length > 0)
        text_add(&line, ": ");
    if (diagnostic->severity == SF_WARNING)
        text_add(&line, "warning: ");
    if (diagnostic->column[0])
        text_addf(&line, "%s: ", diagnostic->column);
    text_add(&line, diagnostic->what);
    if (diagnostic->expected[0])
        text_addf(&line, ", expected %s", diagnostic->expected);
    return text_take(&line);
}

void sf_diagnostics_clear(sf_diagnostics *list)
{
    if (!list)
        return;
    for (size_t i = 0; i < list->count; i++)
        free_texts(&list->items[i]);
    free(list->items);
    *list = (sf_diagnostics){0};
}

errno_words reason_of(int number)
{
    errno_words made = {{0}};
    reason_say(number, made.words, sizeof made.words);
    return made;
}

/* --- status --- */

static const char *const status_texts[SF_STATUS_COUNT] = {
    [SF_OK] = "done",
    [SF_ERROR_ARGUMENT] = "an argument lies outside its documented range",
    [SF_ERROR_MEMORY] = "out of memory",
    [SF_ERROR_MISSING] = "a needed file is missing",
    [SF_ERROR_DATA] = "the input is wrong",
    [SF_ERROR_WRITE] = "a result could not be written",
    [SF_ERROR_NUMERIC] = "the computation found no finite answer",
    [SF_ERROR_SOLVE] = "the linear algebra library of this system gave a wrong answer",
};

const char *sf_status_text(sf_status status)
{
    if ((int)status < 0 || status >= SF_STATUS_COUNT)
        return "unknown status";
    return status_texts[status];
}
