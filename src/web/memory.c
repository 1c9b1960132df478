/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* memset by the one instruction that browsers have for it; the C library goes from word to word. */
#include <string.h>

__attribute__((target("bulk-memory"))) void *memset(void *bytes, int value, size_t count)
{
    return __builtin_memset(bytes, value, count);
}
