/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A system that gives few threads, or none: for programs that are linked with few_threads. */
#ifndef SPOTFIELD_TESTS_THREADS_H
#define SPOTFIELD_TESTS_THREADS_H

/* Threads that the system gives still, then no more; below 0, as at first: as many as are asked
 * for. */
extern long threads_left;

#endif
