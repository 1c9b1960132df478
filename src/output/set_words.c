/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Setting words. */
#include "output/set_words.h"

#include <ctype.h>
#include <string.h>

static const char no_break[] = "\u00A0", plus_minus[] = "\u00B1";

static const char *const units[] = {
    "%",  "\u00B0C", "K", "h",  "mm",      "cm\u00B2", "V",  "W",  "A",
    "Hz", "ohm",     "C", "uF", "\u00B5F", "uA",       "kg", NULL,
};

static bool ends_word(char byte)
{
    return !isalnum((unsigned char)byte) && byte != '_' && (unsigned char)byte < 0x80;
}

static bool follows_digit(const char *words, const char *rest)
{
    return rest > words && isdigit((unsigned char)rest[-1]);
}

static bool is_unit(const char *rest)
{
    for (const char *const *unit = units; *unit; unit++)
        if (strncmp(rest, *unit, strlen(*unit)) == 0 && ends_word(rest[strlen(*unit)]))
            return true;
    return false;
}

bool keeps_unit(const char *words, const char *rest)
{
    size_t sign = sizeof plus_minus - 1;
    if (rest[0] != ' ')
        return false;
    if (follows_digit(words, rest))
        return is_unit(rest + 1) || strncmp(rest + 1, plus_minus, sign) == 0;
    return (size_t)(rest - words) >= sign && memcmp(rest - sign, plus_minus, sign) == 0 &&
           isdigit((unsigned char)rest[1]);
}

/* The form of what stands at `rest`, and the bytes it takes the place of; NULL: as it is. */
static const char *better_set(const char *words, const char *rest, size_t *bytes)
{
    static const struct {
        const char *typed, *set;
    } forms[] = {{" C", "\u00A0\u00B0C"}, {" uF", "\u00A0\u00B5F"}, {" uA", "\u00A0\u00B5A"}};
    if (strncmp(rest, "+/-", 3) == 0) {
        *bytes = 3;
        return plus_minus;
    }
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        *bytes = strlen(forms[i].typed);
        if (strncmp(rest, forms[i].typed, *bytes) == 0 && follows_digit(words, rest) &&
            ends_word(rest[*bytes]))
            return forms[i].set;
    }
    *bytes = 1;
    return keeps_unit(words, rest) ? no_break : NULL;
}

void set_words(text *into, const char *words)
{
    for (const char *rest = words; *rest;) {
        size_t bytes = 1;
        const char *better = better_set(words, rest, &bytes);
        if (better)
            text_add(into, better);
        else
            text_add_bytes(into, rest, 1);
        rest += better ? bytes : 1;
    }
}
