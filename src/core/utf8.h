/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Characters of UTF-8: for readers of files and writers of JSON. */
#ifndef SPOTFIELD_CORE_UTF8_H
#define SPOTFIELD_CORE_UTF8_H

#include <stddef.h>
#include <stdint.h>

/* Bytes of the character at `at`, which lies before `end`; 0 where it is none. Overlong forms,
 * surrogates and values above U+10FFFF are none: Unicode 15, table 3-7, well-formed UTF-8 byte
 * sequences. */
size_t utf8_length(const unsigned char *at, const unsigned char *end);

/* The number in Unicode of the character at `at`, whose length utf8_length has told. */
uint32_t utf8_code(const unsigned char *at, size_t length);

#endif
