/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a value says in a parts list or a placement file, "470u/25V", "4u7 63V", "47R 5W", and what
 * a package says. */
#ifndef SPOTFIELD_JOB_VALUE_WORDS_H
#define SPOTFIELD_JOB_VALUE_WORDS_H

#include <stdbool.h>

#include "spotfield/job.h"

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

/* --- packages --- */

/* What the name of a footprint says: "CP_Radial_D10.0mm_P5.00mm", "CP_Elec_8x10.5", "TO-220-3". */
struct package_words {
    double diameter_mm, height_mm, lead_pitch_mm; /* NAN: not said */
    double length_mm, width_mm;                   /* of the body seen from above; NAN: not said */
    sf_form form;
    sf_mount mount;
    bool polarized; /* a footprint of a polarized capacitor */
    bool tantalum;  /* one of a moulded chip */
    bool chip;      /* one of a ceramic or film capacitor */
    bool power;     /* made to lose a watt or more */
};

void package_words_read(const char *package, struct package_words *into);

/* Whether a word stands in a text, letter case not counted, without letters before it or digits
 * after it. */
bool words_have(const char *words, const char *word);

/* Where a part of a text begins, letter case not counted; NULL where it is not in it. */
const char *words_hold(const char *words, const char *part);

#endif
