/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Memory that ends: for programs that are linked with few_allocations, so that each calloc and
 * realloc of the library, which makes all its memory by them, may fail in turn. */
#ifndef SPOTFIELD_TESTS_ALLOCATIONS_H
#define SPOTFIELD_TESTS_ALLOCATIONS_H

#include <stdatomic.h>
#include <stdbool.h>

/* Allocations that succeed still, of all threads, before one fails; below 0, as at first: all. It
 * is below 0 again from the failure on. */
extern atomic_long allocations_left;

/* Counts an allocation; whether it is to fail. For what takes memory in ways of its own. */
bool allocation_fails(void);

#endif
