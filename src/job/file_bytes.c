/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Loads one file of a job folder, within the limit of size. */
#include "job/intake.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/checksum.h"
#include "core/diagnose.h"
#include "core/memory.h"
#include "core/platform.h"
#include "core/text.h"

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
