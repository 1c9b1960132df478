/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Linked with --wrap: what is tested asks here for its threads. */
#include "support/threads.h"

#include <errno.h>
#include <pthread.h>

long threads_left = -1;

int __real_pthread_create(pthread_t *made, const pthread_attr_t *how, void *(*run)(void *),
                          void *argument);
int __wrap_pthread_create(pthread_t *made, const pthread_attr_t *how, void *(*run)(void *),
                          void *argument);

int __wrap_pthread_create(pthread_t *made, const pthread_attr_t *how, void *(*run)(void *),
                          void *argument)
{
    if (threads_left == 0)
        return EAGAIN;
    threads_left -= threads_left > 0;
    return __real_pthread_create(made, how, run, argument);
}
