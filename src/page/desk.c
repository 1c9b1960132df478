/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thread, and the tasks that wait for it in a row. */
#include "page/desk.h"

#include <errno.h>
#include <pthread.h>
#include <stdlib.h>

#include "core/memory.h"
#include "page/moment.h"

struct desk {
    pthread_t thread;
    pthread_mutex_t lock; /* over what follows */
    pthread_cond_t changed;
    bool closed, ended;
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
    pthread_cond_broadcast(&of->changed);
}

static void *run(void *argument)
{
    desk *of = argument;
    pthread_mutex_lock(&of->lock);
    while (!of->ended) {
        if (!of->first) {
            pthread_cond_wait(&of->changed, &of->lock);
            continue;
        }
        of->at_hand = take_first(of);
        pthread_mutex_unlock(&of->lock);
        of->at_hand->work(of->at_hand);
        pthread_mutex_lock(&of->lock);
        hand_back(of);
    }
    pthread_mutex_unlock(&of->lock);
    return NULL;
}

desk *desk_new(void)
{
    desk *made = array_new(1, sizeof *made);
    if (!made)
        return NULL;
    made->last = &made->first;
    pthread_mutex_init(&made->lock, NULL);
    moment_condition(&made->changed);
    if (pthread_create(&made->thread, NULL, run, made) == 0)
        return made;
    pthread_cond_destroy(&made->changed);
    pthread_mutex_destroy(&made->lock);
    free(made);
    return NULL;
}

void desk_free(desk *ended)
{
    if (!ended)
        return;
    desk_close(ended);
    pthread_mutex_lock(&ended->lock);
    ended->ended = true;
    pthread_cond_broadcast(&ended->changed);
    pthread_mutex_unlock(&ended->lock);
    pthread_join(ended->thread, NULL);
    pthread_cond_destroy(&ended->changed);
    pthread_mutex_destroy(&ended->lock);
    free(ended);
}

bool desk_ask(desk *of, desk_task *asked)
{
    pthread_mutex_lock(&of->lock);
    bool taken = !of->closed;
    if (taken) {
        asked->next = NULL;
        *of->last = asked;
        of->last = &asked->next;
        pthread_cond_broadcast(&of->changed);
    }
    pthread_mutex_unlock(&of->lock);
    return taken;
}

bool desk_leave(desk *of, desk_task *asked)
{
    pthread_mutex_lock(&of->lock);
    bool at_it = of->at_hand == asked;
    if (at_it)
        asked->left = true;
    pthread_mutex_unlock(&of->lock);
    return !at_it;
}

void desk_close(desk *of)
{
    pthread_mutex_lock(&of->lock);
    of->closed = true;
    while (of->first) {
        desk_task *waiting = take_first(of);
        waiting->undone(waiting);
    }
    if (of->at_hand && !of->at_hand->given_up) {
        of->at_hand->given_up = true;
        of->at_hand->undone(of->at_hand);
    }
    pthread_mutex_unlock(&of->lock);
}

bool desk_rests(desk *of, const struct timespec *until)
{
    int waited = 0;
    pthread_mutex_lock(&of->lock);
    while (of->at_hand && waited != ETIMEDOUT)
        waited = pthread_cond_timedwait(&of->changed, &of->lock, until);
    bool rests = of->at_hand == NULL;
    pthread_mutex_unlock(&of->lock);
    return rests;
}
