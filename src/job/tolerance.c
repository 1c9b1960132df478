/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads what is printed on a can, or what a bench sheet says of it. */
#include "job/tolerance.h"

#include <math.h>
#include <string.h>

#include "job/number.h"

/* IEC 60062, letters for tolerance on capacitance; N, Q, S and T from memory. */
static const struct {
    char letter;
    struct tolerance tolerance;
} letters[] = {
    {'F', {1, 1}},   {'G', {2, 2}},   {'J', {5, 5}},   {'K', {10, 10}}, {'M', {20, 20}},
    {'N', {30, 30}}, {'Q', {10, 30}}, {'S', {20, 50}}, {'T', {10, 50}}, {'Z', {20, 80}},
};

static bool read_letter(const char *text, struct tolerance *tolerance)
{
    for (size_t i = 0; i < sizeof letters / sizeof letters[0]; i++)
        if (text[0] == letters[i].letter && text[1] == '\0') {
            *tolerance = letters[i].tolerance;
            return true;
        }
    return false;
}

/* A number of `size` bytes at `text`, a per cent sign and blanks after it allowed. */
static bool read_percent(const char *text, size_t size, bool decimal_comma, double *percent)
{
    char part[32];
    while (size > 0 && text[0] == ' ')
        text++, size--;
    while (size > 0 && (text[size - 1] == ' ' || text[size - 1] == '%'))
        size--;
    if (size == 0 || size >= sizeof part)
        return false;
    memcpy(part, text, size);
    part[size] = '\0';
    struct number number;
    if (number_read(part, decimal_comma, &number) != NUMBER_FINE)
        return false;
    *percent = number.value;
    return true;
}

static bool read_pair(const char *text, bool decimal_comma, struct tolerance *tolerance)
{
    const char *slash = strchr(text, '/');
    double first_pct = 0, second_pct = 0;
    if (!read_percent(text, (size_t)(slash - text), decimal_comma, &first_pct) ||
        !read_percent(slash + 1, strlen(slash + 1), decimal_comma, &second_pct))
        return false;
    *tolerance = (struct tolerance){-fmin(first_pct, second_pct), fmax(first_pct, second_pct)};
    return true;
}

bool tolerance_read(const char *text, bool decimal_comma, struct tolerance *tolerance)
{
    struct tolerance read = {0, 0};
    if (read_letter(text, tolerance))
        return true;
    if (strchr(text, '/')) {
        if (!read_pair(text, decimal_comma, &read))
            return false;
    } else {
        if (!read_percent(text, strlen(text), decimal_comma, &read.low_pct))
            return false;
        read.high_pct = read.low_pct;
    }
    bool in_range = read.low_pct >= 0 && read.low_pct <= 100 && read.high_pct >= 0 &&
                    read.high_pct <= 200 && read.low_pct + read.high_pct > 0;
    if (in_range)
        *tolerance = (struct tolerance){read.low_pct + 0.0, read.high_pct + 0.0};
    return in_range;
}
