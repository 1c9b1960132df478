/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Decimal digits without printf: quick enough for every cell of a grid, and blind to the locale. */
#include "core/digits.h"

#include <math.h>
#include <string.h>

enum { DECIMALS_MAX = 9, DIGITS_MAX = 40 };

static const double powers[DECIMALS_MAX + 1] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};

/* 2^53: integers above it are no longer all doubles, so that digits would be invented */
static const double whole_max = 9007199254740992.0;

/* Writes the digits backwards from `end`, at least `least` of them; returns the first. */
static char *digits_before(char *end, unsigned long long whole, int least)
{
    while (whole > 0 || least > 0) {
        *--end = (char)('0' + whole % 10);
        whole /= 10;
        least--;
    }
    return end;
}

void number_add(text *into, double value, int decimals)
{
    if (!isfinite(value))
        return;
    double scaled = round(fabs(value) * powers[decimals]);
    if (scaled > whole_max) {
        text_addf(into, "%.0f", value);
        return;
    }
    char digits[DIGITS_MAX], *end = digits + sizeof digits;
    unsigned long long power = (unsigned long long)powers[decimals];
    unsigned long long whole = (unsigned long long)scaled;
    char *first = end;
    if (decimals > 0) {
        first = digits_before(first, whole % power, decimals);
        *--first = '.';
    }
    first = digits_before(first, whole / power, 1);
    if (value < 0 && whole > 0)
        *--first = '-';
    text_add_bytes(into, first, (size_t)(end - first));
}

void number_add_significant(text *into, double value, int digits)
{
    if (!isfinite(value))
        return;
    int magnitude = value == 0 ? 0 : (int)floor(log10(fabs(value)));
    int decimals = digits - 1 - magnitude;
    number_add(into, value, decimals < 0 ? 0 : decimals > DECIMALS_MAX ? DECIMALS_MAX : decimals);
}

void number_add_short(text *into, double value)
{
    text digits = {0};
    number_add(&digits, value, 4);
    size_t length = digits.length;
    while (length > 0 && digits.bytes[length - 1] == '0')
        length--;
    if (length > 0 && digits.bytes[length - 1] == '.')
        length--;
    text_add_bytes(into, digits.bytes, length);
    into->failed = into->failed || digits.failed;
    text_clear(&digits);
}

/* Adds digits with commas in their integer part, and clears them. */
static void add_in_groups(text *into, text *plain)
{
    const char *point = plain->length > 0 ? strchr(plain->bytes, '.') : NULL;
    size_t whole = point ? (size_t)(point - plain->bytes) : plain->length;
    for (size_t i = 0; i < plain->length; i++) {
        if (i > 0 && i < whole && (whole - i) % 3 == 0 && plain->bytes[i - 1] != '-')
            text_add(into, ",");
        text_add_bytes(into, plain->bytes + i, 1);
    }
    into->failed = into->failed || plain->failed;
    text_clear(plain);
}

void number_add_grouped(text *into, double value)
{
    text plain = {0};
    number_add(&plain, value, 0);
    add_in_groups(into, &plain);
}

void number_add_told(text *into, double value)
{
    text plain = {0};
    number_add_short(&plain, value);
    add_in_groups(into, &plain);
}
