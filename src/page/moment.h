/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Waiting until a moment of a clock that nobody sets. */
#ifndef SPOTFIELD_PAGE_MOMENT_H
#define SPOTFIELD_PAGE_MOMENT_H

#include <pthread.h>
#include <time.h>

/* So many seconds from now. */
struct timespec moment_in(double seconds);

/* A condition that pthread_cond_timedwait waits at until such a moment. */
void moment_condition(pthread_cond_t *made);

#endif
