/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A strict reader of decimal numbers; strtod only sees what has passed the grammar. */
#include "job/number.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBER_BYTES = 64 };

static bool is_digit(char byte)
{
    return byte >= '0' && byte <= '9';
}

static bool starts_group(const char *at)
{
    return is_digit(at[0]) && is_digit(at[1]) && is_digit(at[2]) && !is_digit(at[3]);
}

static size_t no_break_length(const char *at)
{
    if (strncmp(at, "\xC2\xA0", 2) == 0)
        return 2;
    return strncmp(at, "\xE2\x80\xAF", 3) == 0 ? 3 : 0;
}

/* Writes the text in ASCII; false where it does not fit or a no-break space parts no thousands. */
static bool make_plain(const char *text, char plain[NUMBER_BYTES])
{
    size_t length = 0;
    while (*text) {
        size_t space = (unsigned char)*text < 0x80 ? 0 : no_break_length(text);
        if (length + 1 >= NUMBER_BYTES)
            return false;
        if (space > 0) {
            if (length == 0 || !is_digit(plain[length - 1]) || !starts_group(text + space))
                return false;
            text += space;
        } else if (strncmp(text, "\xE2\x88\x92", 3) == 0) {
            plain[length++] = '-';
            text += 3;
        } else {
            plain[length++] = *text++;
        }
    }
    plain[length] = '\0';
    return true;
}

static size_t skip_digits(const char **at)
{
    const char *start = *at;
    while (is_digit(**at))
        ++*at;
    return (size_t)(*at - start);
}

static void skip_sign(const char **at)
{
    if (**at == '+' || **at == '-')
        ++*at;
}

/* sign? (digits mark? digits? | mark digits) (e sign? digits)? */
static bool fits_grammar(const char *at)
{
    skip_sign(&at);
    size_t digits = skip_digits(&at);
    if (*at == '.') {
        at++;
        digits += skip_digits(&at);
    }
    if (digits == 0)
        return false;
    if (*at == 'e' || *at == 'E') {
        at++;
        skip_sign(&at);
        if (skip_digits(&at) == 0)
            return false;
    }
    return *at == '\0';
}

number_fault number_read(const char *text, bool decimal_comma, struct number *number)
{
    char plain[NUMBER_BYTES];
    if (!make_plain(text, plain))
        return NUMBER_NONE;
    char *comma = strchr(plain, ',');
    number->has_comma = comma != NULL;
    number->has_point = strchr(plain, '.') != NULL;
    if (number->has_comma && number->has_point)
        return strspn(plain, "+-.,0123456789") == strlen(plain) ? NUMBER_MIXED : NUMBER_NONE;
    if (comma)
        *comma = '.';
    if (!fits_grammar(plain))
        return NUMBER_NONE;
    if (comma && !decimal_comma)
        return NUMBER_COMMA;
    number->value = strtod(plain, NULL);
    return isfinite(number->value) ? NUMBER_FINE : NUMBER_LARGE;
}
