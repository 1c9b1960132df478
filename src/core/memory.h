/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Checked allocation for every room: sizes are tested for overflow, memory comes zeroed. */
#ifndef SPOTFIELD_CORE_MEMORY_H
#define SPOTFIELD_CORE_MEMORY_H

#include <stddef.h>

/* A zeroed array of count elements of size bytes, never empty, freed with free(); NULL when the
 * product overflows or memory is short. */
void *array_new(size_t count, size_t size);

/* Makes room for `needed` elements in an array that holds *capacity: returns the array, moved
 * perhaps and *capacity raised, new elements zeroed; NULL on failure with the old array intact. */
void *array_grow(void *array, size_t *capacity, size_t needed, size_t size);

/* One more element: grows the array that the pointer at `array` leads to as array_grow does, counts
 * the element in *count and returns it; NULL on failure with all as it was. */
void *array_add(void *array, size_t *count, size_t *capacity, size_t size);

/* A copy of text freed with free(); NULL counts as "". NULL when memory is short. */
char *text_copy(const char *text);

/* For a program as it starts. The same large blocks are asked for again and again, by several
 * threads: keeps them in one place, rather than have the system map and clear fresh pages each
 * time. Other C libraries than GNU's have no such say. */
void memory_keep(void);

#endif
