/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The sound job with a thermogram, for the tests of thermogram.csv and marks.csv. */
#ifndef SPOTFIELD_TESTS_PICTURE_JOB_H
#define SPOTFIELD_TESTS_PICTURE_JOB_H

#include "job_folder.h"

/* Of a picture of at least 2 x 2 pixels. */
extern const char sound_marks[];

/* A way to read the sound job, and what came of it. */
typedef struct attempt {
    sf_job *job;
    sf_diagnostics diagnostics;
    sf_status status;
    char *lines;
} attempt;

/* The sound job with these files besides (NULL: without), and `readings` (NULL: as it is). Ended
 * with clear_attempt. */
attempt try_job(const char *thermogram, const char *marks, const char *board, const char *readings);
void clear_attempt(attempt *tried);

#endif
