/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reads the date of a survey. */
#include "job/date.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static const int days_before_month[] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365};

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static bool matches(const char *text, const char *pattern)
{
    if (strlen(text) != strlen(pattern))
        return false;
    for (size_t i = 0; pattern[i]; i++)
        if (pattern[i] == '0' ? text[i] < '0' || text[i] > '9' : text[i] != pattern[i])
            return false;
    return true;
}

static int digits_at(const char *text, int count)
{
    int value = 0;
    for (int i = 0; i < count; i++)
        value = value * 10 + (text[i] - '0');
    return value;
}

/* Days since the first of January; -1 where the calendar has no such day. */
static int day_of_year(int year, int month, int day)
{
    if (month < 1 || month > 12 || day < 1)
        return -1;
    int length = days_before_month[month] - days_before_month[month - 1];
    if (month == 2 && is_leap(year))
        length++;
    if (day > length)
        return -1;
    return days_before_month[month - 1] + (month > 2 && is_leap(year)) + day - 1;
}

double date_year(const char *text)
{
    bool full = matches(text, "0000-00-00");
    if (!full && !matches(text, "0000"))
        return NAN;
    int year = digits_at(text, 4);
    if (year < 1900 || year > 2100)
        return NAN;
    if (!full)
        return year;
    int day = day_of_year(year, digits_at(text + 5, 2), digits_at(text + 8, 2));
    return day < 0 ? (double)NAN : year + day / (is_leap(year) ? 366.0 : 365.0);
}
