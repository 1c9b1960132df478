/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Text that grows: used by every room that puts sentences, tables or pages together. */
#ifndef SPOTFIELD_CORE_TEXT_H
#define SPOTFIELD_CORE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* Start as { 0 }. After a failure further additions do nothing, so that only the end is tested. */
typedef struct text {
    char *bytes; /* ends with a NUL that length does not count */
    size_t length, capacity;
    bool failed; /* memory was short: what is held is incomplete */
} text;

void text_add_bytes(text *into, const void *bytes, size_t count);
void text_add(text *into, const char *words);
void text_addf(text *into, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Hands the bytes over, freed with free(), and leaves *from empty; never NULL but on failure. */
char *text_take(text *from);
void text_clear(text *discarded);

/* A formatted text in new memory, freed with free(); NULL when memory is short. */
char *text_format(const char *format, ...) __attribute__((format(printf, 1, 2)));

#endif
