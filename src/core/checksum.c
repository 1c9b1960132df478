/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* FNV-1a: each byte is mixed in, and the whole multiplied by a prime. */
#include "core/checksum.h"

#include <string.h>

uint64_t checksum_add(uint64_t before, const void *bytes, size_t count)
{
    const unsigned char *at = bytes;
    for (size_t i = 0; i < count; i++)
        before = (before ^ at[i]) * UINT64_C(0x100000001b3);
    return before;
}

uint64_t checksum_add_number(uint64_t before, uint64_t number)
{
    unsigned char digits[8];
    for (size_t i = 0; i < sizeof digits; i++)
        digits[i] = (unsigned char)(number >> (8 * i));
    return checksum_add(before, digits, sizeof digits);
}

uint64_t checksum_add_name(uint64_t before, const char *name)
{
    return checksum_add(before, name, strlen(name) + 1);
}
