/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads a regular file whole, or beside bytes that it may hold. */
#include "page/folder_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static sf_status read_all(int descriptor, size_t most, text *into)
{
    char buffer[65536];
    for (;;) {
        ssize_t count = read(descriptor, buffer, sizeof buffer);
        if (count < 0 && errno == EINTR)
            continue;
        if (count <= 0)
            return count < 0 ? SF_ERROR_MISSING : SF_OK;
        text_add_bytes(into, buffer, (size_t)count);
        if (into->failed)
            return SF_ERROR_MEMORY;
        if (into->length > most)
            return SF_ERROR_DATA;
    }
}

/* Neither a pipe nor a device is waited for. -1 with errno where there is no regular file. */
static int open_regular(int folder, const char *path, int how)
{
    struct stat about;
    int descriptor = openat(folder, path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | how);
    if (descriptor < 0 || (fstat(descriptor, &about) == 0 && S_ISREG(about.st_mode)))
        return descriptor;
    close(descriptor);
    errno = EINVAL;
    return -1;
}

sf_status folder_file_read(const char *folder, const char *name, size_t most, text *into,
                           bool *absent)
{
    char *path = text_format("%s/%s", folder, name);
    *absent = false;
    if (!path)
        return SF_ERROR_MEMORY;
    int descriptor = open_regular(AT_FDCWD, path, 0);
    *absent = descriptor < 0 && errno == ENOENT;
    free(path);
    if (descriptor < 0)
        return *absent ? SF_OK : SF_ERROR_MISSING;
    sf_status status = read_all(descriptor, most, into);
    close(descriptor);
    return status;
}

bool file_holds(const char *path, const void *bytes, size_t count)
{
    char buffer[16384];
    const char *at = bytes;
    int descriptor = open_regular(AT_FDCWD, path, 0);
    bool same = descriptor >= 0;
    for (bool more = same; more && same;) {
        ssize_t got = read(descriptor, buffer, sizeof buffer);
        if (got < 0 && errno == EINTR)
            continue;
        more = got > 0;
        same = got >= 0 && (size_t)got <= count && (got > 0 || count == 0) &&
               memcmp(buffer, at, (size_t)got) == 0;
        at += more ? got : 0;
        count -= more ? (size_t)got : 0;
    }
    if (descriptor >= 0)
        close(descriptor);
    return same;
}

sf_status own_file_read(const char *folder, bool is_own, const char *name, size_t most, text *into)
{
    int opened = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC | (is_own ? O_NOFOLLOW : 0));
    int descriptor = opened >= 0 ? open_regular(opened, name, O_NOFOLLOW) : -1;
    sf_status status = descriptor >= 0 ? read_all(descriptor, most, into) : SF_ERROR_MISSING;
    if (descriptor >= 0)
        close(descriptor);
    if (opened >= 0)
        close(opened);
    return status;
}
