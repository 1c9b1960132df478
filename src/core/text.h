/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Text that grows: used by every room that puts sentences, tables or pages together. */
#ifndef SPOTFIELD_CORE_TEXT_H
#define SPOTFIELD_CORE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Start as { 0 }. After a failure further additions do nothing, so that only the end is tested. */
typedef struct text {
    char *bytes; /* ends with a NUL that length does not count */
    size_t length, capacity;
    bool failed; /* memory was short: what is held is incomplete */
} text;

void text_add_bytes(text *into, const void *bytes, size_t count);
void text_add(text *into, const char *words);
/* A cell of CSV: between quotation marks where one of the separators, a mark, a line end, an outer
 * blank or a leading # asks for them (RFC 4180, section 2, rules 5 to 7); guarded: with an
 * apostrophe before what a spreadsheet would run as a formula (OWASP, CSV Injection). */
void text_add_cell(text *into, const char *words, const char *separators, bool guarded);
void text_addf(text *into, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Hands the bytes over, freed with free(), and leaves *from empty; never NULL but on failure. */
char *text_take(text *from);
void text_clear(text *discarded);

/* A formatted text in new memory, freed with free(); NULL when memory is short. */
char *text_format(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* --- characters of UTF-8 --- */

/* Bytes of the character at `at`, which lies before `end`; 0 where it is none. Overlong forms,
 * surrogates and values above U+10FFFF are none: Unicode 15, table 3-7, well-formed UTF-8 byte
 * sequences. */
size_t utf8_length(const unsigned char *at, const unsigned char *end);

/* The number in Unicode of the character at `at`, whose length utf8_length has told. */
uint32_t utf8_code(const unsigned char *at, size_t length);

#endif
