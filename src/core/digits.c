/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Decimal digits without printf: quick enough for every cell of a grid, and blind to the locale. */
#include "core/digits.h"

#include <math.h>
#include <stdio.h>
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

/* The digits of a finite value before `end`, which has DIGITS_MAX bytes before it; NULL where not
 * all of them would be known. */
static char *decimals_before(char *end, double value, int decimals)
{
    double scaled = round(fabs(value) * powers[decimals]);
    if (scaled > whole_max)
        return NULL;
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
    return first;
}

void number_add(text *into, double value, int decimals)
{
    if (!isfinite(value))
        return;
    char digits[DIGITS_MAX], *end = digits + sizeof digits;
    char *first = decimals_before(end, value, decimals);
    if (first)
        text_add_bytes(into, first, (size_t)(end - first));
    else
        text_addf(into, "%.0f", value);
}

void number_add_significant(text *into, double value, int digits)
{
    if (!isfinite(value))
        return;
    int magnitude = value == 0 ? 0 : (int)floor(log10(fabs(value)));
    int decimals = digits - 1 - magnitude;
    number_add(into, value, decimals < 0 ? 0 : decimals > DECIMALS_MAX ? DECIMALS_MAX : decimals);
}

/* How many bytes of decimals are left without the zeros that end them. */
static size_t length_without_zeros(const char *digits)
{
    size_t whole = strcspn(digits, "."), length = strlen(digits);
    while (length > whole && (digits[length - 1] == '0' || length - 1 == whole))
        length--;
    return length;
}

void number_add_short(text *into, double value)
{
    text digits = {0};
    number_add(&digits, value, 4);
    if (digits.bytes)
        text_add_bytes(into, digits.bytes, length_without_zeros(digits.bytes));
    into->failed = into->failed || digits.failed;
    text_clear(&digits);
}

told_number number_told(double value)
{
    told_number told = {""};
    char digits[DIGITS_MAX + 1], *end = digits + DIGITS_MAX;
    *end = '\0';
    const char *first = isfinite(value) ? decimals_before(end, value, 4) : end;
    if (!first) {
        snprintf(told.bytes, sizeof told.bytes, "%.4g", value);
        return told;
    }
    size_t whole = strcspn(first, "."), used = length_without_zeros(first);
    for (size_t i = 0, length = 0; i < used; i++) {
        if (i > 0 && i < whole && (whole - i) % 3 == 0 && first[i - 1] != '-')
            told.bytes[length++] = ',';
        told.bytes[length++] = first[i];
    }
    return told;
}

told_number whole_told(double value)
{
    return number_told(round(value));
}

told_number fixed_told(double value, int decimals)
{
    told_number told = {""};
    char digits[DIGITS_MAX], *end = digits + sizeof digits;
    const char *first = isfinite(value) ? decimals_before(end, value, decimals) : end;
    if (first)
        memcpy(told.bytes, first, (size_t)(end - first));
    else
        snprintf(told.bytes, sizeof told.bytes, "%.4g", value);
    return told;
}
