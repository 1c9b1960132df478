/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Noticing by its bytes that a file has changed: two workers that have the same files give them the
 * same stamp. */
#include "page/job_files.h"

uint64_t job_files_stamp(const char *folder)
{
    uint64_t seen[JOB_FILES][2] = {0};
    for (size_t file = 0; file < JOB_FILES; file++) {
        seen[file][0] = job_file_is_there(folder, file);
        if (seen[file][0] && job_file_hash(folder, file, &seen[file][1]) != SF_OK)
            seen[file][1] = 0;
    }
    return checksum_of(seen, sizeof seen);
}
