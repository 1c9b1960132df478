/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Drops clients that take too long over one request, however busily they drip, and sooner where
 * many are waited for. */
#ifndef SPOTFIELD_PAGE_DEADLINE_H
#define SPOTFIELD_PAGE_DEADLINE_H

#include <stddef.h>

/* Longest time for a request to come in whole. */
enum { DEADLINE_SECONDS = 10 };

typedef struct deadlines deadlines;

/* Room for `most` sockets; NULL when memory is short or no thread can be started. */
deadlines *deadlines_new(size_t most);
void deadlines_free(deadlines *ended);

/* A socket has opened, begins to wait for its next request, has one whole, or is about to close. */
void deadline_open(deadlines *of, int descriptor);
void deadline_wait(deadlines *of, int descriptor);
void deadline_met(deadlines *of, int descriptor);
void deadline_close(deadlines *of, int descriptor);

#endif
