/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One page for a job: a file in its folder that the system locks for the process that has the page
 * open, and unlocks when that is gone, however it went. */
#ifndef SPOTFIELD_PAGE_JOB_LOCK_H
#define SPOTFIELD_PAGE_JOB_LOCK_H

#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

#define LOCK_NAME ".spotfield-page.lock"

typedef struct job_lock {
    int descriptor; /* -1: not held */
    int folder;     /* while it is held, to take the file away again */
} job_lock;

/* Takes the lock. SF_ERROR_MISSING, told with the process and the address of the other page, where
 * one has it. SF_OK with the lock not held where there is no folder yet, or none in which a file
 * can be made or locked: then no page can change the job either. */
sf_status job_lock_take(const char *folder, job_lock *of, sf_diagnostics *diagnostics);

/* Writes into the file who has the lock, `host` being address and port; nothing where it is not
 * held. */
void job_lock_sign(const job_lock *of, const char *host);

/* Lets go of it, and takes the file away. */
void job_lock_release(job_lock *of);

#endif
