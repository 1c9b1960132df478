/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a value says in a parts list or a placement file: "470u/25V", "4u7 63V", "47R 5W". */
#ifndef SPOTFIELD_JOB_VALUE_WORDS_H
#define SPOTFIELD_JOB_VALUE_WORDS_H

#include <stdbool.h>

/* NAN: not said. */
struct value_words {
    double capacitance_uf, rated_v, rated_c, power_w;
    bool milli; /* "m" or "mF", which some read as milli and some as micro, stands there */
};

extern const struct value_words no_value_words;

/* Fills what is NAN still from the words; what is no such value is passed over. Two or three bare
 * numbers parted by a stroke are microfarad, volt and degrees Celsius in this order, where the
 * words name no capacitance. The numeric locale of the thread must be that of C. */
void value_words_read(const char *words, struct value_words *into);

#endif
