/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Threads for tasks that are alike. */
#include "core/parallel.h"

#include <pthread.h>

/* More would only share the same processors out more finely. */
enum { THREADS_MOST = 8, STRETCHES = 4 };

typedef struct task_thread {
    sf_status (*run)(void *task);
    void *task;
    pthread_t thread;
    sf_status status;
} task_thread;

static void *do_errand(void *given)
{
    task_thread *one = given;
    one->status = one->run(one->task);
    return NULL;
}

static sf_status first_fault(sf_status before, sf_status after)
{
    return before != SF_OK ? before : after;
}

sf_status parallel_for(sf_status (*run)(void *task), void *tasks, size_t count, size_t size)
{
    task_thread apart[THREADS_MOST];
    size_t away = 0; /* tasks 1 to `away` have a thread */
    char *first = tasks;
    while (away < THREADS_MOST && away + 1 < count) {
        apart[away] = (task_thread){.run = run, .task = first + (away + 1) * size};
        if (pthread_create(&apart[away].thread, NULL, do_errand, &apart[away]) != 0)
            break;
        away++;
    }
    sf_status status = count > 0 ? run(first) : SF_OK, rest = SF_OK;
    for (size_t i = away + 1; i < count; i++)
        rest = first_fault(rest, run(first + i * size));
    for (size_t i = 0; i < away; i++) {
        pthread_join(apart[i].thread, NULL);
        status = first_fault(status, apart[i].status);
    }
    return first_fault(status, rest);
}

typedef struct chunk {
    sf_status (*run)(void *context, size_t from, size_t to);
    void *context;
    size_t from, to;
} chunk;

static sf_status do_chunk(void *given)
{
    const chunk *one = given;
    return one->run(one->context, one->from, one->to);
}

sf_status parallel_in_chunks(sf_status (*run)(void *context, size_t from, size_t to), void *context,
                             size_t count)
{
    chunk all[STRETCHES];
    for (size_t i = 0; i < STRETCHES; i++)
        all[i] = (chunk){run, context, count * i / STRETCHES, count * (i + 1) / STRETCHES};
    return parallel_for(do_chunk, all, STRETCHES, sizeof *all);
}
