/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The bytes of one file of a job folder, checked to be plain UTF-8 text. */
#ifndef SPOTFIELD_JOB_FILE_BYTES_H
#define SPOTFIELD_JOB_FILE_BYTES_H

#include <stdbool.h>
#include <stddef.h>

#include "job/intake.h"

typedef enum file_state {
    FILE_ABSENT, /* not there, and it need not be */
    FILE_BAD,    /* refused; the diagnostic is in the list */
    FILE_READ
} file_state;

/* Reads job->folder/file whole. On FILE_READ *bytes is new, freed with free(), of *size bytes; on
 * anything else NULL. A needed file that is absent is an error. */
file_state file_bytes_read(struct intake *intake, const char *file, bool needed, char **bytes,
                           size_t *size);

/* Whether the bytes are UTF-8 text without control characters; complains where they are not. */
bool file_bytes_check(struct intake *intake, const char *file, const char *bytes, size_t size);

#endif
