/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Linear congruence; multiplier and increment of D. E. Knuth's MMIX, from memory. */
#include "support/chance.h"

double next_uniform(unsigned long *seed)
{
    *seed = *seed * 6364136223846793005UL + 1442695040888963407UL;
    return ((double)(*seed >> 11) + 0.5) / 9007199254740992.0;
}

double next_between(double low, double high, unsigned long *seed)
{
    return low + (high - low) * next_uniform(seed);
}

size_t whole_between(size_t low, size_t high, unsigned long *seed)
{
    return low + (size_t)(next_uniform(seed) * (double)(high - low + 1));
}
