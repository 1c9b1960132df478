/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The lock of a job without other processes: the files in memory are this worker's alone. */
#include "page/job_lock.h"

sf_status job_lock_take(const char *folder, job_lock *of, sf_diagnostics *diagnostics)
{
    (void)folder;
    (void)diagnostics;
    *of = (job_lock){-1, -1};
    return SF_OK;
}

void job_lock_sign(const job_lock *of, const char *host)
{
    (void)of;
    (void)host;
}

void job_lock_release(job_lock *of)
{
    *of = (job_lock){-1, -1};
}
