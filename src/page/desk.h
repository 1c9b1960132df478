/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Work that takes longer than a person waits for a page, done by a thread of its own, one task
 * after another. A task can be given up at any time, also while the thread is at it. */
#ifndef SPOTFIELD_PAGE_DESK_H
#define SPOTFIELD_PAGE_DESK_H

#include <pthread.h>
#include <stdbool.h>
#include <time.h>

typedef struct desk desk;

/* Part of what its owner keeps of it. All but `work` are called with the desk held: they must not
 * ask anything of it. */
typedef struct desk_task {
    void (*work)(struct desk_task *of);    /* in the desk's thread */
    void (*done)(struct desk_task *of);    /* it is the owner's again: worked on */
    void (*undone)(struct desk_task *of);  /* it will come to nothing */
    void (*discard)(struct desk_task *of); /* the owner has left it: frees it */
    struct desk_task *next;                /* from here on the desk's own */
    bool given_up, left;
} desk_task;

/* NULL when memory is short or no thread can be started. */
desk *desk_new(void);

/* Ends the thread, after what it is at; NULL is fine. */
void desk_free(desk *ended);

/* Puts a task behind the others; false where the desk is closed. */
bool desk_ask(desk *of, desk_task *asked);

/* Whether the owner may free a task of his. Else the desk is still at it, and discards it then. */
bool desk_leave(desk *of, desk_task *asked);

/* Takes no task from now on; all that are there, and the one at hand, come to nothing. */
void desk_close(desk *of);

/* Whether the thread of a closed desk has laid down its work, by that moment at the latest. */
bool desk_rests(desk *of, const struct timespec *until);

/* --- threads that wait for work, and moments of a clock that nobody sets --- */

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
bool worker_start(worker *started, void *(*work)(void *), void *context);

/* Has it end, waits until it has, and clears it. */
void worker_end(worker *of);

#endif
