/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Noticing by what the system knows of a file that it has changed. */
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "page/job_files.h"

/* It takes no memory, so that it cannot fail. */
uint64_t job_files_stamp(const char *folder)
{
    uint64_t seen[JOB_FILES][5] = {0};
    int opened = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    for (size_t file = 0; file < JOB_FILES; file++) {
        struct stat about = {0};
        if (opened < 0 || fstatat(opened, job_files[file].name, &about, 0) != 0)
            continue;
        const uint64_t now[5] = {1, (uint64_t)about.st_ino, (uint64_t)about.st_size,
                                 (uint64_t)about.st_mtim.tv_sec, (uint64_t)about.st_mtim.tv_nsec};
        memcpy(seen[file], now, sizeof now);
    }
    if (opened >= 0)
        close(opened);
    return checksum_of(seen, sizeof seen);
}
