/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Diagnostics, assumptions and kept texts of one reading of a job folder. */
#include "job/intake.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"

enum { SENTENCE_BYTES = 1024 };

bool intake_open(struct intake *intake)
{
    intake->errors_before = intake->diagnostics->error_count;
    intake->memory_short = !plain_numbers_begin(&intake->numbers) || intake->memory_short;
    return !intake->memory_short;
}

sf_status intake_close(struct intake *intake)
{
    plain_numbers_end(&intake->numbers);
    if (intake->memory_short)
        return SF_ERROR_MEMORY;
    if (intake->file_missing)
        return SF_ERROR_MISSING;
    return intake->diagnostics->error_count > intake->errors_before ? SF_ERROR_DATA : SF_OK;
}

static void diagnose(struct intake *intake, sf_severity severity, where at, const char *expected,
                     const char *format, va_list arguments) __attribute__((format(printf, 5, 0)));

static void diagnose(struct intake *intake, sf_severity severity, where at, const char *expected,
                     const char *format, va_list arguments)
{
    char what[SENTENCE_BYTES];
    vsnprintf(what, sizeof what, format, arguments);
    if (sf_diagnose(intake->diagnostics, severity, at.file, at.line, at.column, what, expected) !=
        SF_OK)
        intake->memory_short = true;
}

void diagnose_error(struct intake *intake, where at, const char *expected, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    diagnose(intake, SF_ERROR, at, expected, format, arguments);
    va_end(arguments);
}

void diagnose_warning(struct intake *intake, where at, const char *expected, const char *format,
                      ...)
{
    va_list arguments;
    va_start(arguments, format);
    diagnose(intake, SF_WARNING, at, expected, format, arguments);
    va_end(arguments);
}

char *keep_text(struct intake *intake, const char *text)
{
    char *kept = text_copy(text);
    if (!kept)
        intake->memory_short = true;
    return kept;
}

void *keep_array(struct intake *intake, size_t count, size_t size)
{
    void *kept = array_new(count, size);
    if (!kept)
        intake->memory_short = true;
    return kept;
}

void assume(struct intake *intake, const char *format, ...)
{
    char sentence[SENTENCE_BYTES];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(sentence, sizeof sentence, format, arguments);
    va_end(arguments);

    sf_job *job = intake->job;
    char *kept = keep_text(intake, sentence);
    char **grown =
        realloc(job->assumptions, (job->assumption_count + 1) * sizeof *job->assumptions);
    if (grown)
        job->assumptions = grown;
    if (!kept || !grown) {
        free(kept);
        intake->memory_short = true;
        return;
    }
    job->assumptions[job->assumption_count++] = kept;
}

excerpt excerpt_of(const char *cell)
{
    excerpt made;
    size_t room = sizeof made.text - sizeof "...";
    size_t length = strnlen(cell, room + 1);
    bool cut = length > room;
    /* a character of several bytes is never cut in two */
    for (length = cut ? room : length; cut && (cell[length] & 0xC0) == 0x80; length--)
        ;
    memcpy(made.text, cell, length);
    for (size_t i = 0; i < length; i++)
        if (made.text[i] == '\n' || made.text[i] == '\r' || made.text[i] == '\t')
            made.text[i] = ' ';
    memcpy(made.text + length, cut ? "..." : "", cut ? sizeof "..." : 1);
    return made;
}
