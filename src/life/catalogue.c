/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Preferred values, voltages and endurances. */
#include "life/catalogue.h"

#include <math.h>
#include <stddef.h>

#define SAME_WITHIN 0.005
#define RISE_MAX 1.2

/* IEC 60063, E12; every second is of E6, every fourth of E3. */
static const double decade[] = {1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2, 10.0};

/* From makers' catalogues; 6.3 to 100 V hold the R5 series of IEC 60384-4. */
static const double voltages[] = {6.3, 10,  16,  25,  35,  50,  63,  80,
                                  100, 160, 200, 250, 350, 400, 450, 500};

/* Endurances of makers' catalogues, at 85 and at 105 C. */
static const double endurances[] = {1000, 2000, 3000, 5000, 7000, 10000};

#define COUNT(table) (sizeof(table) / sizeof((table)[0]))

/* First of a rising table that is not below the value; NAN where none is. */
static double next_in(const double *table, size_t count, size_t step, double value)
{
    for (size_t i = 0; i < count; i += step)
        if (table[i] >= value)
            return table[i];
    return NAN;
}

double preferred_value(double value, series among)
{
    double power = pow(10, floor(log10(value)));
    double least = value / power * (1 - SAME_WITHIN);
    return power * next_in(decade, COUNT(decade), SERIES_E12 / among, least);
}

double preferred_capacitance(double marked_uf)
{
    if (!(marked_uf > 0))
        return NAN;
    double usual_uf = preferred_value(marked_uf, SERIES_E6);
    return usual_uf <= RISE_MAX * marked_uf ? usual_uf : preferred_value(marked_uf, SERIES_E12);
}

double preferred_voltage(double rated_v)
{
    double made_v = next_in(voltages, COUNT(voltages), 1, rated_v);
    return isnan(made_v) ? rated_v : made_v;
}

double common_endurance(double needed_h)
{
    return next_in(endurances, COUNT(endurances), 1, needed_h);
}

double longest_endurance(void)
{
    return endurances[COUNT(endurances) - 1];
}
