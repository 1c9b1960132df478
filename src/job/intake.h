/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What one reading of a job folder carries along, how each of its files tells its faults, and the
 * bytes of a file. */
#ifndef SPOTFIELD_JOB_INTAKE_H
#define SPOTFIELD_JOB_INTAKE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/platform.h"
#include "spotfield/diagnostic.h"
#include "spotfield/job.h"

/* No fewer than there are keys in board.csv. */
enum { BOARD_LINES = 32 };

/* Start as { job, diagnostics }; the job's folder is where files are looked for. Memory failures
 * stick, so that only the end of the reading tests for them. */
struct intake {
    sf_job *job;
    sf_diagnostics *diagnostics;
    size_t errors_before; /* in diagnostics, when it was opened */
    plain_numbers numbers;
    uint64_t *made_from; /* of the bytes of every file that was read, and of its name; NULL where
                            nobody asks */
    bool memory_short;
    bool file_missing;               /* a needed file was not there or could not be read */
    bool may_be_unread;              /* readings.csv may be missing or hold no row */
    bool outline_sound;              /* job->rings may be asked where the board is */
    bool bench_air_in_service;       /* nobody gave service_ambient */
    size_t board_lines[BOARD_LINES]; /* of each key of board.csv; 0: it is not there */
    bool of_machine[BOARD_LINES];    /* it stands in machine.csv instead */
    bool machine_told;               /* there is a machine.csv */
};

/* Opens the reading: strtod and printf follow the locale, which is C's for this thread from here to
 * intake_close. False when memory is short; it is closed all the same. */
bool intake_open(struct intake *intake);

/* Ends it. SF_ERROR_MEMORY, SF_ERROR_MISSING (file_missing), SF_ERROR_DATA where an error was
 * complained about since it was opened. */
sf_status intake_close(struct intake *intake);

/* Where a fault is: line 0 means the whole file, column "" the whole line. */
typedef struct where {
    const char *file;
    size_t line;
    const char *column;
} where;

/* Adds a diagnostic whose text is formatted as by printf; `expected` may be "". */
void diagnose_error(struct intake *intake, where at, const char *expected, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
void diagnose_warning(struct intake *intake, where at, const char *expected, const char *format,
                      ...) __attribute__((format(printf, 4, 5)));

/* Adds one sentence to the job's assumptions. */
void assume(struct intake *intake, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* A copy that the job will own; NULL, and memory_short set, when memory is short. */
char *keep_text(struct intake *intake, const char *words);

/* An array as array_new makes it; NULL, and memory_short set, when memory is short. */
void *keep_array(struct intake *intake, size_t count, size_t size);

/* A cell cut to what fits a line of a diagnostic, line ends shown as blanks. */
typedef struct excerpt {
    char text[64];
} excerpt;

excerpt excerpt_of(const char *cell);

/* --- the bytes of one file of a job folder, checked to be plain UTF-8 text --- */

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
