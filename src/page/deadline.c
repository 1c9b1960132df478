/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A thread that looks once a second for requests that are past their time. */
#include "page/deadline.h"

#include <errno.h>
#include <stdbool.h>
#include <stdlib.h>
#include <time.h>

#include "core/memory.h"
#include "page/desk.h"
#include "page/socket.h"

typedef struct slot {
    int descriptor; /* -1 free */
    bool waiting;
    time_t until;
    unsigned long order; /* in which it began to wait */
} slot;

struct deadlines {
    worker worker; /* its lock is over what follows */
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
        socket_shut(each->descriptor);
        each->waiting = false;
    }
}

static void *run(void *argument)
{
    deadlines *of = argument;
    pthread_mutex_lock(&of->worker.lock);
    while (!of->worker.ended) {
        struct timespec next = moment_in(1);
        if (pthread_cond_timedwait(&of->worker.changed, &of->worker.lock, &next) == ETIMEDOUT)
            shut_late(of);
    }
    pthread_mutex_unlock(&of->worker.lock);
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
    if (opened->slots && worker_start(&opened->worker, run, opened))
        return opened;
    free(opened->slots);
    free(opened);
    return NULL;
}

void deadlines_free(deadlines *ended)
{
    if (!ended)
        return;
    worker_end(&ended->worker);
    free(ended->slots);
    free(ended);
}

/* Sets the first slot that holds `known`. */
static void set_slot(deadlines *of, int known, slot to)
{
    pthread_mutex_lock(&of->worker.lock);
    for (size_t i = 0; i < of->count; i++)
        if (of->slots[i].descriptor == known) {
            of->slots[i] = to;
            of->slots[i].order = of->begun++;
            break;
        }
    pthread_mutex_unlock(&of->worker.lock);
}

/* Where three of four places are taken whoever waits for longest gives way, so that there is always
 * room for who has something to ask. */
static void make_room(deadlines *of)
{
    size_t used = 0;
    slot *oldest = NULL;
    pthread_mutex_lock(&of->worker.lock);
    for (size_t i = 0; i < of->count; i++) {
        slot *each = &of->slots[i];
        used += each->descriptor >= 0;
        if (each->descriptor >= 0 && each->waiting && (!oldest || each->order < oldest->order))
            oldest = each;
    }
    if (oldest && used > of->count / 4 * 3) {
        socket_shut(oldest->descriptor);
        oldest->waiting = false;
    }
    pthread_mutex_unlock(&of->worker.lock);
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
