/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A change that was made, so that it can be taken back and made again: of each file where it
 * differs, what stood there, what stands there now, and which content it leads from and to. A step
 * is taken only on a file that holds exactly that content, and leaves exactly the other.
 *   {"label": "move C7", "files": [{"file": "parts.csv", "at": 120, "was": "12.5", "now": "13",
 *                                   "from": "9c0d...", "to": "51fa..."}]}
 * `at` counts bytes; `was` and `now` hold a byte as the character of that number, so that a file in
 * any encoding can be told; `from` and `to` are checksum_of in 16 hexadecimal digits. */
#ifndef SPOTFIELD_PAGE_STEP_H
#define SPOTFIELD_PAGE_STEP_H

#include <stdbool.h>

#include <jansson.h>

#include "page/job_files.h"

/* Which way a step is taken. */
typedef enum direction { BACK, AGAIN } direction;

/* The step from what the files of a batch were to what they are to be, empty where they are the
 * same. New; NULL when memory is short. */
json_t *step_make(const batch *all, const char *label);
bool step_is_empty(const json_t *step);

/* Whether it is built as step_make does it; it may still fit no file. */
bool step_is_sound(const json_t *step);

/* "" where the step has none. */
const char *step_label(const json_t *step);

/* Bytes that it keeps, of its label and of the files. */
size_t step_size(const json_t *step);

/* Takes a sound step on the files of a batch. SF_ERROR_DATA where a file does not hold what the
 * step leads from, or would not hold what it leads to, *file being its index; else the errors of
 * batch_touch. After an error the batch is to be forgotten. */
sf_status step_take(batch *all, const json_t *step, direction way, size_t *file);

/* --- whether steps fit --- */

/* What the files hold, as far as it has been asked for. Start as {.folder = ...}. */
typedef struct contents {
    const char *folder;
    bool unknown; /* memory was short: whether a step fits cannot be told */
    struct {
        bool asked, known;
        uint64_t hash;
    } files[JOB_FILES];
} contents;

/* Whether all files of a sound step hold what it leads from; if so, they are then taken to hold
 * what it leads to. */
bool step_fits(const json_t *step, direction way, contents *now);

#endif
