/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Loads one file of a job folder, within the limit of size. */
#include "job/file_bytes.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/diagnose.h"
#include "core/memory.h"
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
    /* without O_NONBLOCK a named pipe of that name would hang the program */
    int descriptor = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
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
    intake->memory_short = intake->memory_short || !*bytes;
    return *bytes ? FILE_READ : FILE_BAD;
}
