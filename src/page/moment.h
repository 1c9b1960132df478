/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Threads of the page that wait for work, and moments of a clock that nobody sets. */
#ifndef SPOTFIELD_PAGE_MOMENT_H
#define SPOTFIELD_PAGE_MOMENT_H

#include <pthread.h>
#include <stdbool.h>
#include <time.h>

/* So many seconds from now. */
struct timespec moment_in(double seconds);

/* A thread with what it shares. It waits at `changed`, also until such a moment, and returns once
 * `ended` is set. */
typedef struct worker {
    pthread_t thread;
    pthread_mutex_t lock; /* over what follows, and what else the thread shares */
    pthread_cond_t changed;
    bool ended;
} worker;

/* False, with nothing to end, where no thread can be started. */
bool worker_start(worker *started, void *(*run)(void *), void *context);

/* Has it end, waits until it has, and clears it. */
void worker_end(worker *of);

#endif
