/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Job folders for the tests of the job room. */
#ifndef SPOTFIELD_TESTS_JOB_FOLDER_H
#define SPOTFIELD_TESTS_JOB_FOLDER_H

#include <stdbool.h>

#include "spotfield/job.h"
#include "support/check.h"

/* A board of 120 x 90 mm, two readings and two parts, without a fault; no other file. */
extern const char sound_board[];
extern const char sound_readings[];
extern const char sound_parts[];

/* Writes the three files of the sound job into a folder. */
void write_sound_job(const char *folder);

/* Reads the sound job with one file put in its place or added (content NULL: removed) and checks
 * the status and the diagnostics, each followed by a line end, in their order. */
void check_diagnostics(const char *file, const char *content, sf_status status,
                       const char *expected);

#define assert_refused(file, content, expected)                                                    \
    check_diagnostics(file, content, SF_ERROR_DATA, expected)
#define assert_warned(file, content, expected) check_diagnostics(file, content, SF_OK, expected)

/* Reads the sound job with one file in its place, which must succeed without a diagnostic; the
 * caller frees it with sf_job_free. */
sf_job *read_sound(const char *file, const char *content);

/* The same with two files in their place. */
sf_job *read_sound_pair(const char *file, const char *content, const char *other,
                        const char *its_content);

/* Whether the job assumes just that. */
bool has_assumption(const sf_job *job, const char *sentence);

/* Every diagnostic as a line; the caller frees it with free(). */
char *diagnostic_lines(const sf_diagnostics *diagnostics);

#endif
