/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thread that looks once a second for requests that are past their time. */
#include "page/deadline.h"

#include <errno.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

#include "core/memory.h"
#include "page/moment.h"

typedef struct slot {
    int descriptor; /* -1 free */
    bool waiting;
    time_t until;
    unsigned long order; /* in which it began to wait */
} slot;

struct deadlines {
    pthread_t thread;
    pthread_mutex_t lock; /* over what follows */
    pthread_cond_t changed;
    bool ended;
    slot *slots;
    size_t count;
    unsigned long begun; /* so many have waited */
};

static time_t now(void)
{
    return moment_in(0).tv_sec;
}

/* A socket is shut under the lock, so that its number cannot be another one's by then. */
static void shut_late(deadlines *of)
{
    time_t moment = now();
    for (size_t i = 0; i < of->count; i++) {
        slot *each = &of->slots[i];
        if (each->descriptor < 0 || !each->waiting || each->until > moment)
            continue;
        shutdown(each->descriptor, SHUT_RDWR);
        each->waiting = false;
    }
}

static void *run(void *argument)
{
    deadlines *of = argument;
    pthread_mutex_lock(&of->lock);
    while (!of->ended) {
        struct timespec next = moment_in(1);
        if (pthread_cond_timedwait(&of->changed, &of->lock, &next) == ETIMEDOUT)
            shut_late(of);
    }
    pthread_mutex_unlock(&of->lock);
    return NULL;
}

deadlines *deadlines_new(size_t most)
{
    deadlines *opened = array_new(1, sizeof *opened);
    if (!opened)
        return NULL;
    opened->slots = array_new(most, sizeof *opened->slots);
    opened->count = most;
    for (size_t i = 0; opened->slots && i < most; i++)
        opened->slots[i].descriptor = -1;
    pthread_mutex_init(&opened->lock, NULL);
    moment_condition(&opened->changed);
    if (opened->slots && pthread_create(&opened->thread, NULL, run, opened) == 0)
        return opened;
    free(opened->slots);
    free(opened);
    return NULL;
}

void deadlines_free(deadlines *ended)
{
    if (!ended)
        return;
    pthread_mutex_lock(&ended->lock);
    ended->ended = true;
    pthread_cond_signal(&ended->changed);
    pthread_mutex_unlock(&ended->lock);
    pthread_join(ended->thread, NULL);
    pthread_cond_destroy(&ended->changed);
    pthread_mutex_destroy(&ended->lock);
    free(ended->slots);
    free(ended);
}

/* Sets the first slot that holds `known`. */
static void set_slot(deadlines *of, int known, slot to)
{
    pthread_mutex_lock(&of->lock);
    for (size_t i = 0; i < of->count; i++)
        if (of->slots[i].descriptor == known) {
            of->slots[i] = to;
            of->slots[i].order = of->begun++;
            break;
        }
    pthread_mutex_unlock(&of->lock);
}

/* Where three of four places are taken whoever waits for longest gives way, so that there is always
 * room for who has something to ask. */
static void make_room(deadlines *of)
{
    size_t used = 0;
    slot *oldest = NULL;
    pthread_mutex_lock(&of->lock);
    for (size_t i = 0; i < of->count; i++) {
        slot *each = &of->slots[i];
        used += each->descriptor >= 0;
        if (each->descriptor >= 0 && each->waiting && (!oldest || each->order < oldest->order))
            oldest = each;
    }
    if (oldest && used > of->count / 4 * 3) {
        shutdown(oldest->descriptor, SHUT_RDWR);
        oldest->waiting = false;
    }
    pthread_mutex_unlock(&of->lock);
}

void deadline_open(deadlines *of, int descriptor)
{
    make_room(of);
    set_slot(of, -1, (slot){descriptor, true, now() + DEADLINE_SECONDS, 0});
}

void deadline_wait(deadlines *of, int descriptor)
{
    set_slot(of, descriptor, (slot){descriptor, true, now() + DEADLINE_SECONDS, 0});
}

void deadline_met(deadlines *of, int descriptor)
{
    set_slot(of, descriptor, (slot){.descriptor = descriptor});
}

void deadline_close(deadlines *of, int descriptor)
{
    set_slot(of, descriptor, (slot){.descriptor = -1});
}
