/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thread, and the tasks that wait for it in a row. */
#include "page/desk.h"

#include <errno.h>
#include <stdlib.h>

#include "core/memory.h"
#include "page/moment.h"

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
