/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thread, and the tasks that wait for it in a row. */
#include "page/desk.h"

#include <errno.h>
#include <stdlib.h>
#include <unistd.h>

#include "core/memory.h"

struct desk {
    worker worker; /* its lock is over what follows */
    bool closed;
    desk_task *first, **last; /* that wait */
    desk_task *at_hand;       /* NULL: it rests */
};

static desk_task *take_first(desk *of)
{
    desk_task *taken = of->first;
    of->first = taken->next;
    if (!of->first)
        of->last = &of->first;
    return taken;
}

/* One that was given up has been handed back already. */
static void hand_back(desk *of)
{
    desk_task *worked = of->at_hand;
    of->at_hand = NULL;
    if (worked->left)
        worked->discard(worked);
    else if (!worked->given_up)
        worked->done(worked);
    pthread_cond_broadcast(&of->worker.changed);
}

static void *run(void *argument)
{
    desk *of = argument;
    pthread_mutex_lock(&of->worker.lock);
    while (!of->worker.ended) {
        if (!of->first) {
            pthread_cond_wait(&of->worker.changed, &of->worker.lock);
            continue;
        }
        of->at_hand = take_first(of);
        pthread_mutex_unlock(&of->worker.lock);
        of->at_hand->work(of->at_hand);
        pthread_mutex_lock(&of->worker.lock);
        hand_back(of);
    }
    pthread_mutex_unlock(&of->worker.lock);
    return NULL;
}

desk *desk_new(void)
{
    desk *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
    made->last = &made->first;
    if (worker_start(&made->worker, run, made))
        return made;
    free(made);
    return NULL;
}

void desk_free(desk *ended)
{
    if (!ended)
        return;
    desk_close(ended);
    worker_end(&ended->worker);
    free(ended);
}

bool desk_ask(desk *of, desk_task *asked)
{
    pthread_mutex_lock(&of->worker.lock);
    bool taken = !of->closed;
    if (taken) {
        asked->next = NULL;
        *of->last = asked;
        of->last = &asked->next;
        pthread_cond_broadcast(&of->worker.changed);
    }
    pthread_mutex_unlock(&of->worker.lock);
    return taken;
}

bool desk_leave(desk *of, desk_task *asked)
{
    pthread_mutex_lock(&of->worker.lock);
    bool at_it = of->at_hand == asked;
    if (at_it)
        asked->left = true;
    pthread_mutex_unlock(&of->worker.lock);
    return !at_it;
}

void desk_close(desk *of)
{
    pthread_mutex_lock(&of->worker.lock);
    of->closed = true;
    while (of->first) {
        desk_task *waiting = take_first(of);
        waiting->undone(waiting);
    }
    if (of->at_hand && !of->at_hand->given_up) {
        of->at_hand->given_up = true;
        of->at_hand->undone(of->at_hand);
    }
    pthread_mutex_unlock(&of->worker.lock);
}

bool desk_rests(desk *of, const struct timespec *until)
{
    int waited = 0;
    pthread_mutex_lock(&of->worker.lock);
    while (of->at_hand && waited != ETIMEDOUT)
        waited = pthread_cond_timedwait(&of->worker.changed, &of->worker.lock, until);
    bool rests = of->at_hand == NULL;
    pthread_mutex_unlock(&of->worker.lock);
    return rests;
}

/* --- moments and threads --- */

/* CLOCK_MONOTONIC; where the system waits by the clock of the day alone, that one. */

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

bool worker_start(worker *started, void *(*work)(void *), void *context)
{
    started->ended = false;
    pthread_mutex_init(&started->lock, NULL);
    make_condition(&started->changed);
    if (pthread_create(&started->thread, NULL, work, context) == 0)
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
