/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Checked allocation: the one place of the library that asks for memory. */
#include "core/memory.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

void *array_new(size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    return calloc(count ? count : 1, size ? size : 1);
}

void *array_grow(void *array, size_t *capacity, size_t needed, size_t size)
{
    if (needed <= *capacity)
        return array;
    size_t roomy = *capacity > SIZE_MAX / 2 ? needed : *capacity * 2;
    size_t count = needed < roomy ? roomy : needed;
    if (size == 0 || count > SIZE_MAX / size)
        return NULL;
    char *grown = realloc(array, count * size);
    if (!grown)
        return NULL;
    memset(grown + *capacity * size, 0, (count - *capacity) * size);
    *capacity = count;
    return grown;
}

void *array_add(void *array, size_t *count, size_t *capacity, size_t size)
{
    char *items;
    memcpy(&items, array, sizeof items); /* a pointer to any type, which char ** is not */
    items = array_grow(items, capacity, *count + 1, size);
    if (!items)
        return NULL;
    memcpy(array, &items, sizeof items);
    return items + (*count)++ * size;
}

char *text_copy(const char *text)
{
    const char *source = text ? text : "";
    size_t size = strlen(source) + 1;
    char *copy = array_new(size, 1);
    if (copy)
        memcpy(copy, source, size);
    return copy;
}

void memory_keep(void)
{
#ifdef __GLIBC__
    enum { MIB = 1 << 20 };
    mallopt(M_ARENA_MAX, 1);
    mallopt(M_MMAP_THRESHOLD, 32 * MIB); /* the most that the C library takes */
    mallopt(M_TOP_PAD, 16 * MIB);
    mallopt(M_TRIM_THRESHOLD, 256 * MIB);
#endif
}
