/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* CLOCK_MONOTONIC; where the system waits by the clock of the day alone, that one. */
#include "page/moment.h"

#include <unistd.h>

#if defined(_POSIX_CLOCK_SELECTION) && _POSIX_CLOCK_SELECTION > 0
#define WAITS_BY_ANY_CLOCK 1
#else
#define WAITS_BY_ANY_CLOCK 0
#endif

struct timespec moment_in(double seconds)
{
    enum { BILLION = 1000000000 };
    struct timespec made = {0};
    clock_gettime(WAITS_BY_ANY_CLOCK ? CLOCK_MONOTONIC : CLOCK_REALTIME, &made);
    time_t whole = (time_t)seconds;
    made.tv_sec += whole;
    made.tv_nsec += (long)((seconds - (double)whole) * BILLION);
    made.tv_sec += made.tv_nsec / BILLION;
    made.tv_nsec %= BILLION;
    return made;
}

static void make_condition(pthread_cond_t *made)
{
    pthread_condattr_t how;
    pthread_condattr_init(&how);
#if WAITS_BY_ANY_CLOCK
    pthread_condattr_setclock(&how, CLOCK_MONOTONIC);
#endif
    pthread_cond_init(made, &how);
    pthread_condattr_destroy(&how);
}

static void clear(worker *of)
{
    pthread_cond_destroy(&of->changed);
    pthread_mutex_destroy(&of->lock);
}

bool worker_start(worker *started, void *(*run)(void *), void *context)
{
    started->ended = false;
    pthread_mutex_init(&started->lock, NULL);
    make_condition(&started->changed);
    if (pthread_create(&started->thread, NULL, run, context) == 0)
        return true;
    clear(started);
    return false;
}

void worker_end(worker *of)
{
    pthread_mutex_lock(&of->lock);
    of->ended = true;
    pthread_cond_broadcast(&of->changed);
    pthread_mutex_unlock(&of->lock);
    pthread_join(of->thread, NULL);
    clear(of);
}
