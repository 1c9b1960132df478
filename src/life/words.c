/* Numbers in words. */
#include "life/words.h"

#include <math.h>
#include <stdio.h>

#define DIGITS_MAX 400 /* any double as a whole number */

void add_whole(text *into, double number)
{
    char digits[DIGITS_MAX];
    int count = snprintf(digits, sizeof digits, "%.0f", number);
    if (number < 9999.5) {
        text_add(into, digits);
        return;
    }
    for (int i = 0; i < count; i++) {
        int after = count - i;
        if (after % 3 == 0 && i > 0)
            text_add(into, ",");
        text_add_bytes(into, &digits[i], 1);
    }
}

void add_hours(text *into, double hours)
{
    double unit = hours > 0 ? pow(10, fmin(fmax(floor(log10(hours)) - 2, 0), 2)) : 1;
    add_whole(into, round(hours / unit) * unit);
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
        add_whole(into, pct);
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
    if (value >= 9999.5)
        add_whole(into, value);
    else
        text_addf(into, "%.4g", value);
}
