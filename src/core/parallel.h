/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tasks that are alike and know nothing of one another, done at once by any room. */
#ifndef SPOTFIELD_CORE_PARALLEL_H
#define SPOTFIELD_CORE_PARALLEL_H

#include <stddef.h>

#include "spotfield/status.h"

/* Calls `run` once for each of `count` tasks, which stand in an array of elements of `size` bytes:
 * the first one here, others in threads of their own as far as the system gives threads, the rest
 * here too. Returns when all are done, with what the first of them in their order answered that was
 * not SF_OK. No task may write what another one reads. */
sf_status parallel_for(sf_status (*run)(void *task), void *tasks, size_t count, size_t size);

/* The same for things 0 to count - 1, cut into chunks of about one length: `run` does those from
 * `from` up to, without, `to`. */
sf_status parallel_in_chunks(sf_status (*run)(void *context, size_t from, size_t to), void *context,
                             size_t count);

#endif
