/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The table of units. The inch is 25.4 mm (international yard and pound agreement,
 * 1959); an ounce of copper per square foot
 * is taken as its nominal 35 um (common practice). */
#include "job/unit.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

struct unit {
    const char *held, *written;
    double factor; /* held = (written + shift) * factor */
    double shift;
    bool alias; /* taken, but not listed */
};

static const struct unit units[] = {
    {"mm", "mm", 1, 0, false},
    {"mm", "cm", 10, 0, false},
    {"mm", "m", 1000, 0, false},
    {"mm", "in", 25.4, 0, false},
    {"mm", "mil", 0.0254, 0, false},
    {"mm", "mils", 0.0254, 0, true},
    {"mm", "thou", 0.0254, 0, true},
    {"mm", "inch", 25.4, 0, true},
    {"mm", "inches", 25.4, 0, true},
    {"mm", "um", 0.001, 0, false},
    {"mm", "\u00B5m", 0.001, 0, true},
    {"um", "um", 1, 0, false},
    {"um", "mm", 1000, 0, false},
    {"um", "mil", 25.4, 0, false},
    {"um", "oz", 35, 0, false},
    {"um", "\u00B5m", 1, 0, true},
    {"um", "\u03BCm", 1, 0, true},
    {"C", "C", 1, 0, false},
    {"C", "F", 5.0 / 9, -32, false},
    {"C", "K", 1, -273.15, false},
    {"C", "\u00B0C", 1, 0, true},
    {"C", "\u00B0F", 5.0 / 9, -32, true},
    {"K", "K", 1, 0, false},
    {"K", "C", 1, 0, false},
    {"K", "F", 5.0 / 9, 0, false},
    {"K", "\u00B0C", 1, 0, true},
    {"K", "\u00B0F", 5.0 / 9, 0, true},
    {"h", "h", 1, 0, false},
    {"h", "d", 24, 0, false},
    {"year", "year", 1, 0, false},
    {"year", "years", 1, 0, true},
    {"%", "%", 1, 0, false},
    {"%", "1", 100, 0, false},
};

enum { UNIT_COUNT = sizeof units / sizeof units[0] };

bool unit_convert(const char *held, const char *written, double *value)
{
    if (written[0] == '\0')
        return true;
    for (size_t i = 0; i < UNIT_COUNT; i++)
        if (strcmp(units[i].held, held) == 0 && strcasecmp(units[i].written, written) == 0) {
            *value = (*value + units[i].shift) * units[i].factor;
            return true;
        }
    return false;
}

void unit_list(const char *held, char *list, size_t size)
{
    const char *names[UNIT_COUNT];
    size_t count = 0, length = 0;
    for (size_t i = 0; i < UNIT_COUNT; i++)
        if (strcmp(units[i].held, held) == 0 && !units[i].alias)
            names[count++] = units[i].written;
    snprintf(list, size, "a blank cell");
    for (size_t i = 0; i < count && length < size; i++) {
        const char *joint = i == 0 ? "" : i + 1 == count ? " or " : ", ";
        length += (size_t)snprintf(list + length, size - length, "%s%s", joint, names[i]);
    }
}
