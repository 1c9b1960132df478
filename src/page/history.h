/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was changed, to be taken back and made again, also after the page has been started anew: a
 * file beside those of the job keeps it. Losing that file loses the undoing, and nothing else. */
#ifndef SPOTFIELD_PAGE_HISTORY_H
#define SPOTFIELD_PAGE_HISTORY_H

#include "page/step.h"

#define HISTORY_VERSION 1

/* The oldest steps go where there are more of them, or where all keep more bytes. */
enum { HISTORY_STEPS_MOST = 500, HISTORY_BYTES_MOST = 1 << 20 };

typedef struct history {
    json_t *steps; /* in the order in which they were made first */
    size_t done;   /* so many of them are made; the rest were taken back */
    bool outlives; /* is written to the file */
    char *note;    /* what a person is to be told; NULL where nothing */
} history;

/* Reads the file of a folder. One that is no history, or one of a later version, is left as it is:
 * then this history is empty, does not outlive the page, and says so in its note.
 * SF_ERROR_MEMORY: nothing to clear. */
sf_status history_open(const char *folder, history *opened);
void history_clear(history *ended);

/* Drops the steps that cannot be taken, one after another, on the files as they are now, and notes
 * it. *dropped is how many those were. SF_ERROR_MEMORY: all are kept, since it cannot be told. */
sf_status history_fit(history *of, const char *folder, size_t *dropped);

/* The step that would be taken next; NULL where there is none. Belongs to the history. */
const json_t *history_next(const history *of, direction way);

/* What the history would be after a new step, which is not taken over, and after its next step has
 * been taken. *after is new, without a note. SF_ERROR_MEMORY: nothing to clear. */
sf_status history_with(const history *of, json_t *step, history *after);
sf_status history_moved(const history *of, direction way, history *after);

/* Puts what a history has become in its place; a note that nobody has seen yet is kept. */
void history_replace(history *of, history *after);

/* The file as it is to be. New text; NULL when memory is short. */
char *history_text(const history *of);

/* Keeps words for a person; they replace earlier ones. */
void history_note(history *of, char *words);

#endif
