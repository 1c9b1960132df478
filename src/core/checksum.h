/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Tells whether bytes are those of before: FNV-1a, 64 bits (RFC 9923). It guards against a change
 * by accident, not against one made to be overlooked. */
#ifndef SPOTFIELD_CORE_CHECKSUM_H
#define SPOTFIELD_CORE_CHECKSUM_H

#include <stddef.h>
#include <stdint.h>

#define CHECKSUM_OF_NOTHING UINT64_C(0xcbf29ce484222325)

/* Of what `before` is of, with the bytes behind it. */
uint64_t checksum_add(uint64_t before, const void *bytes, size_t count);

static inline uint64_t checksum_of(const void *bytes, size_t count)
{
    return checksum_add(CHECKSUM_OF_NOTHING, bytes, count);
}

/* The same with a number, or a name and its NUL, so that neighbours do not run into each other. */
uint64_t checksum_add_number(uint64_t before, uint64_t number);
uint64_t checksum_add_name(uint64_t before, const char *name);

#endif
