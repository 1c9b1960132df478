/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of a job that the page reads and changes: each is read when it is first touched,
 * changed in memory, and written with the others or not at all. No other file of the folder is
 * touched. */
#ifndef SPOTFIELD_PAGE_JOB_FILES_H
#define SPOTFIELD_PAGE_JOB_FILES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/atomic.h"
#include "core/checksum.h"
#include "page/sheet.h"
#include "spotfield/job.h"

typedef struct job_file {
    const char *name;
    const char *header; /* of a new file, without its line end */
    bool needed;        /* a job cannot be read without it */
} job_file;

enum { JOB_FILES = 11 };

extern const job_file job_files[JOB_FILES];

/* Keeps what was changed in them: see page/history.h. */
#define HISTORY_NAME ".spotfield-history.json"

/* Index of a name; JOB_FILES where the page knows no such file. */
size_t job_file_find(const char *name);

/* Whether the folder has the file. It takes no memory. */
bool job_file_is_there(const char *folder, size_t file);

/* Reads a file of the folder into a sheet. One that is not there counts as its header alone, here
 * and below, with *absent set. `before` (may be NULL) gets the bytes that the sheet was read from.
 * SF_ERROR_MISSING where it cannot be read, SF_ERROR_DATA where it is no CSV or none of its
 * columns is one of `header`, SF_ERROR_MEMORY. */
sf_status job_file_read(const char *folder, size_t file, sheet *into, bool *absent, text *before);

/* The checksum of a file as it is now. Errors: SF_ERROR_MISSING, SF_ERROR_DATA (larger than any
 * file of a job), SF_ERROR_MEMORY. */
sf_status job_file_hash(const char *folder, size_t file, uint64_t *hash);

/* A number that changes when a file of the job does. */
uint64_t job_files_stamp(const char *folder);

/* Reads a job, and again where its files have changed meanwhile, so that it is of one moment, whose
 * stamp *stamp is. `read` is sf_job_read or sf_job_read_to_plan, and as they answer. */
sf_status job_read_settled(const char *folder,
                           sf_status (*read)(const char *, sf_job **, sf_diagnostics *),
                           sf_job **job, uint64_t *stamp, sf_diagnostics *diagnostics);

/* --- on their way from what they were to what they are to be --- */

/* A file as it was read and as it is to be. */
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

/* --- what a program that was killed while it wrote has left --- */

/* Removes the hidden files that core/atomic.h makes, where the process that made them is gone. An
 * earlier file that was only moved aside, on a file system without hard links, is put back. */
void leftovers_clear(const char *folder);

#endif
