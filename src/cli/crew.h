/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tasks done in processes of their own, as many at once as there are processors. */
#ifndef SPOTFIELD_CLI_CREW_H
#define SPOTFIELD_CLI_CREW_H

#include <stddef.h>

#include "spotfield/status.h"

/* What is to be done; a process has a umask and memory of its own, and one that crashes takes no
 * other along. */
typedef struct crew {
    size_t count;      /* of the tasks, 0 to count - 1 */
    const char *doing; /* "mapping": what a terminal reads before the count */
    const void *context;
    /* In a process of its own: answers its exit status. */
    int (*run)(const void *context, size_t task);
    /* Here, in the order of the tasks, once its words are on standard error. `end` is the exit
     * status, or less than 0 a signal. */
    void (*ended)(const void *context, size_t task, int end);
} crew;

/* Does all tasks, and passes on what each said, whole and in their order. A signal that ends the
 * program ends the tasks first. Without other threads about. SF_ERROR_MEMORY where memory is short
 * before any is begun. */
sf_status crew_run(const crew *of);

/* Zeroed room that those processes share with this one; NULL where there is none. */
void *crew_memory(size_t count, size_t size);
void crew_memory_free(void *memory, size_t count, size_t size);

#endif
