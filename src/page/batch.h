/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Files of a job on their way from what they were to what they are to be: each is read when it is
 * first touched, changed in memory, and written with the others or not at all. */
#ifndef SPOTFIELD_PAGE_BATCH_H
#define SPOTFIELD_PAGE_BATCH_H

#include <stdbool.h>

#include "core/atomic.h"
#include "page/job_files.h"

typedef struct touched {
    bool read, absent, changed;
    text before;
    sheet now;
} touched;

/* Start as {.folder = ...}; end with batch_forget, after which it can begin anew. */
typedef struct batch {
    const char *folder;
    touched files[JOB_FILES];
} batch;

/* Reads a file where that has not been done yet. Errors: those of job_file_read. */
sf_status batch_touch(batch *all, size_t file);

/* A job is read only when its needed files are there, if only with their header: one that is
 * missing is touched and changed. */
sf_status batch_add_needed(batch *all);

/* Writes all that were changed; nothing where there are none. `beside` (may be NULL) is written
 * with them, before them. SF_ERROR_DATA, with nothing written, where one is no longer on the disk
 * as it was read; else the errors of atomic_write. */
sf_status batch_write(const batch *all, const file_block *beside, sf_diagnostics *diagnostics);

void batch_forget(batch *all);

#endif
