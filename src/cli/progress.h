/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A line on the terminal that says what takes so long. */
#ifndef SPOTFIELD_CLI_PROGRESS_H
#define SPOTFIELD_CLI_PROGRESS_H

#include <pthread.h>
#include <stdbool.h>

enum { PROGRESS_WIDTH = 40 };

/* Shown by a thread of its own, as one step may take all the time there is. */
typedef struct progress {
    pthread_t thread;
    pthread_mutex_t lock; /* over what follows */
    pthread_cond_t changed;
    const char *doing;
    bool ended;
    bool shown; /* there is a thread; else nothing is ever written */
} progress;

/* Begins; nothing is written where standard error is no terminal, nor in the first second. */
void progress_begin(progress *line, const char *doing);

/* What is done from now on, a text that stays valid; fits sf_map_options.on_step. */
void progress_step(const char *doing, void *line);

/* Takes the line away, so that messages may follow. */
void progress_end(progress *line);

/* Writes a line in place of the one before, at once and without a thread; "" takes it away. */
void progress_put(const char *words);

#endif
