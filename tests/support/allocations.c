/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Linked with --wrap: what is tested asks here for its memory. */
#include "support/allocations.h"

#include <stddef.h>

atomic_long allocations_left = -1;

void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);

bool allocation_fails(void)
{
    return allocations_left >= 0 && atomic_fetch_sub(&allocations_left, 1) == 0;
}

void *__wrap_calloc(size_t count, size_t size)
{
    return allocation_fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return allocation_fails() ? NULL : __real_realloc(block, size);
}
