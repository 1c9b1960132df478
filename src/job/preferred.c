/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Preferred capacitances and rated voltages of aluminium electrolytic capacitors. */
#include "job/preferred.h"

#include <math.h>
#include <stddef.h>

/* IEC 60063: E12 holds E6 and E3. The rest are decimal values of older stock, such as 8, 16, 32,
 * 40, 50 and 640 uF, and the R5 series of ISO 3 (from memory). */
static const double mantissas[] = {1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8,
                                   8.2, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.3, 6.4, 8.0};

/* Catalogues of the trade and IEC 60384-4, with older steps (common practice, no source). */
static const double voltages[] = {2.5, 3,   4,   6,   6.3, 10,  12,  15,  16,  20,  25,  30,
                                  35,  40,  50,  63,  64,  70,  80,  100, 150, 160, 200, 250,
                                  300, 315, 350, 385, 400, 420, 450, 475, 500, 525};

static bool is_among(double value, const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (fabs(value - values[i]) <= 1e-6 * values[i])
            return true;
    return false;
}

bool capacitance_is_preferred(double capacitance_uf)
{
    double mantissa = capacitance_uf / pow(10, floor(log10(capacitance_uf)));
    /* a power of ten may come out a hair below itself */
    if (mantissa > 9.999999)
        mantissa /= 10;
    return is_among(mantissa, mantissas, sizeof mantissas / sizeof mantissas[0]);
}

bool voltage_is_preferred(double rated_v)
{
    return is_among(rated_v, voltages, sizeof voltages / sizeof voltages[0]);
}
