/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Numbers drawn at random that are the same in every run: each call the next of a sequence. */
#ifndef SUPPORT_CHANCE_H
#define SUPPORT_CHANCE_H

#include <stddef.h>

/* In 0..1. */
double next_uniform(unsigned long *seed);

/* Evenly from low to high. */
double next_between(double low, double high, unsigned long *seed);

/* A whole number from low to high, both among them. */
size_t whole_between(size_t low, size_t high, unsigned long *seed);

#endif
