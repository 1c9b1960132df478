/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* flock: held by the open file, so that two pages of one process exclude each other too. */
#include "page/job_lock.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/folders.h"
#include "core/text.h"

/* The file was made for nobody but who may write in the folder, and is no more readable than it. */
static int open_file(int folder)
{
    struct stat about;
    mode_t mode = fstat(folder, &about) == 0 ? about.st_mode & 0666 : 0600;
    int descriptor =
        openat(folder, LOCK_NAME, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, mode);
    if (descriptor < 0 && errno == EACCES) /* another person's: it can be locked all the same */
        descriptor = openat(folder, LOCK_NAME, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    return descriptor;
}

/* Whether the open file still has the name: whoever let go of the lock took the file away. */
static bool is_named(int folder, int descriptor)
{
    struct stat opened, named;
    return fstat(descriptor, &opened) == 0 &&
           fstatat(folder, LOCK_NAME, &named, AT_SYMLINK_NOFOLLOW) == 0 &&
           same_file(&opened, &named);
}

static void tell_other(int descriptor, sf_diagnostics *diagnostics)
{
    char signature[96] = "";
    ssize_t count = pread(descriptor, signature, sizeof signature - 1, 0);
    signature[count > 0 ? count : 0] = '\0';
    signature[strcspn(signature, "\r\n")] = '\0';
    char *words =
        text_format("another page has this job open%s%s", signature[0] ? ": " : "", signature);
    sf_diagnose(diagnostics, SF_ERROR, "", 0, "", words ? words : "another page has this job open",
                "one page for a job: end the other one, or carry on in its window");
    free(words);
}

/* EWOULDBLOCK where another has it; the lock is held on 0. */
static int lock_file(int folder, int *descriptor)
{
    enum { TRIES = 100 };
    for (int attempt = 0; attempt < TRIES; attempt++) {
        *descriptor = open_file(folder);
        if (*descriptor < 0)
            return errno;
        if (flock(*descriptor, LOCK_EX | LOCK_NB) != 0)
            return errno;
        if (is_named(folder, *descriptor))
            return 0;
        close(*descriptor);
    }
    *descriptor = -1;
    return EAGAIN;
}

sf_status job_lock_take(const char *folder, job_lock *of, sf_diagnostics *diagnostics)
{
    int descriptor = -1, opened = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    *of = (job_lock){-1, -1};
    if (opened < 0)
        return SF_OK;
    int error = lock_file(opened, &descriptor);
    if (error == 0) {
        *of = (job_lock){descriptor, opened};
        return SF_OK;
    }
    bool taken = descriptor >= 0 && error == EWOULDBLOCK;
    if (taken)
        tell_other(descriptor, diagnostics);
    if (descriptor >= 0)
        close(descriptor);
    close(opened);
    return taken ? SF_ERROR_MISSING : SF_OK;
}

void job_lock_sign(const job_lock *of, const char *host)
{
    if (of->descriptor < 0 || ftruncate(of->descriptor, 0) != 0)
        return;
    /* not the token: the address alone lets nobody in */
    dprintf(of->descriptor, "process %ld at http://%s/\n", (long)getpid(), host);
}

void job_lock_release(job_lock *of)
{
    if (of->descriptor < 0)
        return;
    unlinkat(of->folder, LOCK_NAME, 0);
    close(of->descriptor);
    close(of->folder);
    *of = (job_lock){-1, -1};
}
