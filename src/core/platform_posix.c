/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The system as POSIX has it, and of Linux renameat2. */
#define _GNU_SOURCE
#include "core/platform.h"

#include <errno.h>
#include <fcntl.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

/* getrandom of Linux and most BSDs; OpenBSD has what POSIX took in 2024 alone. */
#if __has_include(<sys/random.h>)
#include <sys/random.h>
#endif

#include "core/folders.h"

/* --- files --- */

int file_open(const char *path)
{
    return open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
}

int file_create(const char *path)
{
    return open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
}

bool file_set_mode(int descriptor, mode_t mode)
{
    struct stat made;
    return (fstat(descriptor, &made) == 0 && (made.st_mode & 07777) == mode) ||
           fchmod(descriptor, mode) == 0;
}

bool reach_disk(int descriptor)
{
    return fsync(descriptor) == 0 || errno == EINVAL;
}

/* --- names --- */

bool name_look(const char *path, struct stat *found)
{
    return lstat(path, found) == 0;
}

bool is_link(const struct stat *found)
{
    return S_ISLNK(found->st_mode);
}

bool names_meet(const char *one, const char *other)
{
    struct stat first, second;
    return stat(one, &first) == 0 && stat(other, &second) == 0 && same_file(&first, &second);
}

bool name_add(const char *path, const char *name)
{
    return link(path, name) == 0;
}

bool name_change(const char *path, const char *name)
{
    return rename(path, name) == 0;
}

bool exchange_names(const char *one, const char *other)
{
#ifdef RENAME_EXCHANGE
    return renameat2(AT_FDCWD, one, AT_FDCWD, other, RENAME_EXCHANGE) == 0;
#else
    (void)one;
    (void)other;
    return false;
#endif
}

char *path_real(const char *path)
{
    return realpath(path, NULL);
}

/* --- folders --- */

bool folder_make(const char *path, mode_t mode)
{
    return mkdir(path, mode) == 0;
}

static int folder_open(const char *folder)
{
    return open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
}

int folder_reach_disk(const char *folder, bool strict)
{
    int descriptor = folder_open(folder);
    if (descriptor < 0)
        return errno == EACCES && !strict ? 0 : errno;
    int error = reach_disk(descriptor) ? 0 : errno;
    close(descriptor);
    return error;
}

bool folder_is_own(const char *folder, struct stat *about)
{
    return stat(folder, about) == 0 && S_ISDIR(about->st_mode) && about->st_uid == geteuid() &&
           access(folder, R_OK | W_OK | X_OK) == 0;
}

bool folder_liken(const char *folder, const struct stat *about)
{
    return chown(folder, (uid_t)-1, about->st_gid) == 0 &&
           chmod(folder, about->st_mode & 07777) == 0;
}

int folder_lock(const char *folder)
{
    struct stat held, named;
    int descriptor = folder_open(folder);
    if (descriptor < 0)
        return FOLDER_NO_LOCK;
    bool locked = flock(descriptor, LOCK_EX | LOCK_NB) == 0;
    int error = errno;
    if (locked && fstat(descriptor, &held) == 0 && stat(folder, &named) == 0 &&
        same_file(&held, &named))
        return descriptor;
    close(descriptor);
    return locked || error == EWOULDBLOCK || error == EINTR ? FOLDER_HELD : FOLDER_NO_LOCK;
}

/* --- chance --- */

bool random_fill(void *bytes, size_t count)
{
#ifdef GRND_NONBLOCK
    return getrandom(bytes, count, 0) == (ssize_t)count;
#else
    return getentropy(bytes, count) == 0;
#endif
}

/* --- words --- */

bool plain_numbers_begin(plain_numbers *of)
{
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    of->plain = plain;
    if (plain != (locale_t)0)
        of->before = uselocale(plain);
    return plain != (locale_t)0;
}

void plain_numbers_end(plain_numbers *of)
{
    if (!of->plain)
        return;
    uselocale((locale_t)of->before);
    freelocale((locale_t)of->plain);
}

/* strerror_r under either of its two prototypes. POSIX: 0 where the buffer was filled. */
static const char *of_status(int status, const char *buffer)
{
    return status == 0 ? buffer : "unknown reason";
}

/* GNU: the words, which need not be in the buffer. */
static const char *of_words(const char *words, const char *buffer)
{
    (void)buffer;
    return words;
}

void reason_say(int number, char *words, size_t size)
{
    char buffer[256] = "";
    snprintf(words, size, "%s",
             _Generic(strerror_r(number, buffer, sizeof buffer), int: of_status, char *: of_words)(
                 strerror_r(number, buffer, sizeof buffer), buffer));
}
