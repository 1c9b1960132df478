/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers in words. */
#include "life/owner_words.h"

#include <math.h>

#include "core/digits.h"

void add_hours(text *into, double hours)
{
    double unit = hours > 0 ? pow(10, fmin(fmax(floor(log10(hours)) - 2, 0), 2)) : 1;
    text_add(into, number_told(round(hours / unit) * unit).bytes);
    text_add(into, " h");
}

static void add_percent_number(text *into, double share)
{
    double pct = 100 * share;
    if (pct < 0.1)
        text_add(into, "under 0.1");
    else if (pct < 9.95)
        text_addf(into, "%.2g", pct);
    else
        text_add(into, number_told(round(pct)).bytes);
}

void add_percent(text *into, double share)
{
    add_percent_number(into, share);
    text_add(into, " %");
}

void add_percent_range(text *into, double low, double high)
{
    add_percent_number(into, low);
    text_add(into, " to ");
    add_percent(into, high);
}

void add_deviation(text *into, double pct)
{
    text_addf(into, "%+.1f %%", pct);
}

void add_quantity(text *into, double value)
{
    double unit = value > 0 ? pow(10, fmax(floor(log10(value)) - 3, -4)) : 1;
    text_add(into, number_told(unit < 1 ? round(value / unit) * unit : round(value)).bytes);
}
