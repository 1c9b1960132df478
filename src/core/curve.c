/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Functions of one variable: where one crosses zero, and what lies under one. */
#include "core/curve.h"

#include <math.h>
#include <stddef.h>

#define ROOT_STEPS_MAX 200
#define ROOT_TOLERANCE 1e-10

/* The Illinois method: chords, with the weight of an end halved when it stays twice running.
 * M. Dowell and P. Jarratt, BIT 11 (1971) 168. */
double rising_root(curve rising, const void *context, double low, double high)
{
    double at_low = rising(low, context), at_high = rising(high, context);
    if (at_low >= 0)
        return low;
    if (at_high <= 0)
        return high;
    double tolerance = ROOT_TOLERANCE * (1 + fabs(low) + fabs(high));
    int moved = 0;
    for (int step = 0; step < ROOT_STEPS_MAX && high - low > tolerance; step++) {
        double at = low + (high - low) * at_low / (at_low - at_high);
        double value = rising(at, context);
        if (value == 0)
            return at;
        if (value < 0) {
            low = at;
            at_low = value;
            at_high = moved < 0 ? at_high / 2 : at_high;
        } else {
            high = at;
            at_high = value;
            at_low = moved > 0 ? at_low / 2 : at_low;
        }
        moved = value < 0 ? -1 : 1;
    }
    return (low + high) / 2;
}

/* Abscissas and weights for n = 16: M. Abramowitz and I. Stegun, Handbook of Mathematical
 * Functions, table 25.4. */
const curve_node legendre_nodes[LEGENDRE_NODES] = {
    {0.095012509837637441, 0.1894506104550685}, {0.28160355077925892, 0.18260341504492358},
    {0.45801677765722737, 0.16915651939500254}, {0.61787624440264377, 0.14959598881657674},
    {0.755404408355003, 0.12462897125553388},   {0.86563120238783176, 0.095158511682492786},
    {0.9445750230732326, 0.062253523938647894}, {0.98940093499164994, 0.027152459411754096},
};

/* Abramowitz and Stegun 25.4.46 with x = sds / sqrt 2. */
const curve_node normal_nodes[NORMAL_NODES] = {
    {-1.7320508075688772, 1.0 / 6}, {0, 2.0 / 3}, {1.7320508075688772, 1.0 / 6}};

double integral(curve smooth, const void *context, double low, double high)
{
    double middle = (low + high) / 2, half = (high - low) / 2, sum = 0;
    for (size_t i = 0; i < LEGENDRE_NODES; i++) {
        double away = half * legendre_nodes[i].place;
        sum += legendre_nodes[i].weight *
               (smooth(middle - away, context) + smooth(middle + away, context));
    }
    return half * sum;
}
