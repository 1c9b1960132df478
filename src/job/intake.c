/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Diagnostics, assumptions and kept texts of one reading of a job folder; one file of it, within
 * the limit of size. */
#include "job/intake.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/checksum.h"
#include "core/diagnose.h"
#include "core/memory.h"
#include "core/platform.h"
#include "core/text.h"

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

char *keep_text(struct intake *intake, const char *words)
{
    char *kept = text_copy(words);
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
    /* a character of several bytes is never cut in two; where all bytes go on, none begins */
    for (length = cut ? room : length; cut && length > 0 && (cell[length] & 0xC0) == 0x80; length--)
        ;
    memcpy(made.text, cell, length);
    for (size_t i = 0; i < length; i++)
        if (made.text[i] == '\n' || made.text[i] == '\r' || made.text[i] == '\t')
            made.text[i] = ' ';
    memcpy(made.text + length, cut ? "..." : "", cut ? sizeof "..." : 1);
    return made;
}

/* --- the bytes of one file --- */

static file_state refuse(struct intake *intake, const char *file, const char *reason)
{
    intake->file_missing = true;
    diagnose_error(intake, (where){file, 0, ""}, "", "cannot be read: %s", reason);
    return FILE_BAD;
}

static file_state refuse_by_errno(struct intake *intake, const char *file, int number)
{
    return refuse(intake, file, reason_of(number).words);
}

static file_state refuse_size(struct intake *intake, const char *file)
{
    diagnose_error(intake, (where){file, 0, ""}, "", "is larger than the limit of %u bytes",
                   SF_FILE_BYTES_MAX);
    return FILE_BAD;
}

/* One byte more than the limit is asked for, so that a file which grows meanwhile is seen. */
static file_state read_all(struct intake *intake, const char *file, int descriptor, text *into)
{
    char buffer[16 * 1024];
    file_state state = FILE_READ;
    for (;;) {
        ssize_t count = read(descriptor, buffer, sizeof buffer);
        if (count < 0 && errno == EINTR)
            continue;
        if (count < 0)
            state = refuse_by_errno(intake, file, errno);
        if (count <= 0)
            break;
        text_add_bytes(into, buffer, (size_t)count);
        if (into->length > SF_FILE_BYTES_MAX) {
            state = refuse_size(intake, file);
            break;
        }
    }
    return state;
}

static file_state read_regular(struct intake *intake, const char *file, int descriptor, text *into)
{
    struct stat about;
    if (fstat(descriptor, &about) != 0)
        return refuse_by_errno(intake, file, errno);
    if (!S_ISREG(about.st_mode))
        return refuse(intake, file, "it is not a regular file");
    if (about.st_size > (off_t)SF_FILE_BYTES_MAX)
        return refuse_size(intake, file);
    return read_all(intake, file, descriptor, into);
}

static void note_bytes(struct intake *intake, const char *file, const char *bytes, size_t size)
{
    uint64_t *sum = intake->made_from;
    if (!sum)
        return;
    *sum = checksum_add_number(checksum_add_name(*sum, file), size);
    *sum = checksum_add(*sum, bytes, size);
}

file_state file_bytes_read(struct intake *intake, const char *file, bool needed, char **bytes,
                           size_t *size)
{
    *bytes = NULL;
    *size = 0;
    char *path = text_format("%s/%s", intake->job->folder, file);
    if (!path) {
        intake->memory_short = true;
        return FILE_BAD;
    }
    int descriptor = file_open(path);
    int number = errno;
    free(path);
    if (descriptor < 0 && number == ENOENT && !needed)
        return FILE_ABSENT;
    if (descriptor < 0)
        return refuse_by_errno(intake, file, number);

    text content = {0};
    file_state state = read_regular(intake, file, descriptor, &content);
    close(descriptor);
    if (state != FILE_READ) {
        text_clear(&content);
        return state;
    }
    *size = content.length;
    *bytes = text_take(&content);
    if (*bytes)
        note_bytes(intake, file, *bytes, *size);
    intake->memory_short = intake->memory_short || !*bytes;
    return *bytes ? FILE_READ : FILE_BAD;
}

/* --- whether it is plain UTF-8 text --- */

static const char save_as_utf8[] = "UTF-8 (save the sheet as CSV with the encoding UTF-8)";

static size_t line_at(const char *bytes, size_t position)
{
    size_t line = 1;
    for (size_t i = 0; i < position; i++)
        if (bytes[i] == '\n' || (bytes[i] == '\r' && bytes[i + 1] != '\n'))
            line++;
    return line;
}

static bool is_control(unsigned char byte)
{
    return (byte < 0x20 && byte != '\t' && byte != '\n' && byte != '\r') || byte == 0x7F;
}

/* What the first bytes of a file say of it. UTF-32 comes first: its mark begins with that of
 * UTF-16. (Unicode 15.0, table 2-4.) */
static const struct {
    const char *bytes;
    size_t count;
    const char *says;
} starts[] = {
    {"\xFF\xFE\0\0", 4, "is written in UTF-32"},
    {"\0\0\xFE\xFF", 4, "is written in UTF-32"},
    {"\xFF\xFE", 2, "is written in UTF-16"},
    {"\xFE\xFF", 2, "is written in UTF-16"},
    {"\xEF\xBB\xBF\xEF\xBB\xBF", 6, "begins with two byte order marks"},
};

static bool start_is_plain(struct intake *intake, const char *file, const char *bytes, size_t size)
{
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++)
        if (size >= starts[i].count && memcmp(bytes, starts[i].bytes, starts[i].count) == 0) {
            diagnose_error(intake, (where){file, 0, ""}, save_as_utf8, "%s", starts[i].says);
            return false;
        }
    return true;
}

bool file_bytes_check(struct intake *intake, const char *file, const char *bytes, size_t size)
{
    if (!start_is_plain(intake, file, bytes, size))
        return false;
    const unsigned char *start = (const unsigned char *)bytes, *end = start + size;
    for (const unsigned char *at = start; at < end;) {
        size_t length = utf8_length(at, end), position = (size_t)(at - start);
        if (length == 0 || is_control(*at)) {
            where place = {file, line_at(bytes, position), ""};
            diagnose_error(intake, place, length ? "plain text" : save_as_utf8,
                           "byte 0x%02X at position %zu is %s", *at, position + 1,
                           length ? "a control character" : "not UTF-8");
            return false;
        }
        at += length;
    }
    return true;
}
