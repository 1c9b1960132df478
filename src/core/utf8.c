/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Well-formed UTF-8 by its table of byte sequences. */
#include "core/utf8.h"

#include <stdbool.h>

static bool is_continued(const unsigned char *at, const unsigned char *end, size_t count)
{
    if ((size_t)(end - at) <= count)
        return false;
    for (size_t i = 1; i <= count; i++)
        if ((at[i] & 0xC0) != 0x80)
            return false;
    return true;
}

size_t utf8_length(const unsigned char *at, const unsigned char *end)
{
    if (at[0] < 0x80)
        return 1;
    if (at[0] >= 0xC2 && at[0] <= 0xDF)
        return is_continued(at, end, 1) ? 2 : 0;
    if (at[0] >= 0xE0 && at[0] <= 0xEF) {
        bool fits = is_continued(at, end, 2) && !(at[0] == 0xE0 && at[1] < 0xA0) &&
                    !(at[0] == 0xED && at[1] > 0x9F);
        return fits ? 3 : 0;
    }
    if (at[0] >= 0xF0 && at[0] <= 0xF4) {
        bool fits = is_continued(at, end, 3) && !(at[0] == 0xF0 && at[1] < 0x90) &&
                    !(at[0] == 0xF4 && at[1] > 0x8F);
        return fits ? 4 : 0;
    }
    return 0;
}

/* The first of n bytes keeps 7 - n bits of the number, 7 where it is alone; each other keeps 6. */
uint32_t utf8_code(const unsigned char *at, size_t length)
{
    uint32_t code = length == 1 ? at[0] : at[0] & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++)
        code = code << 6 | (at[i] & 0x3Fu);
    return code;
}
