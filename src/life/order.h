/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is bought, and the order of the lists: parts by what is bought for them, references as
 * people count. */
#ifndef SPOTFIELD_LIFE_ORDER_H
#define SPOTFIELD_LIFE_ORDER_H

#include "spotfield/life.h"

/* A part to replace, and what it becomes. */
typedef struct replacement {
    const sf_part *part;
    const sf_part_result *result;
    double capacitance_uf; /* preferred; NAN unknown */
    double rated_v;        /* preferred; NAN unknown */
} replacement;

/* Less than, equal to or greater than 0 as reference a comes before, with or after b: runs of
 * digits count as numbers, so that C3 stands before C17. */
int ref_compare(const char *a, const char *b);

/* The same for numbers; NAN last. */
int number_compare(double a, double b);

/* The same for what is bought: capacitance, voltage, diameter, type, ESR class, mount, lead pitch;
 * NAN last. One height fits all of a kind, the lowest. */
int replacement_compare_kind(const replacement *a, const replacement *b);

/* By kind, then by reference. */
void replacements_sort(replacement *list, size_t count);

/* Endurance at a grade that lasts the service goal and the kit's margin where a part stands; NAN
 * without a goal. A ripple above the rating costs life; one below it earns none, the new rating is
 * not known. */
double needed_endurance_h(const sf_job *job, const sf_part *part, const sf_part_result *result,
                          double grade_c);

/* --- values and ratings that capacitors are made in --- */

/* Values a decade of IEC 60063 series E3, E6 and E12. */
typedef enum series { SERIES_E3 = 3, SERIES_E6 = 6, SERIES_E12 = 12 } series;

/* Least preferred value of a series that is not below `value`, in any unit; a value within half a
 * percent of a preferred one counts as that. value above 0. */
double preferred_value(double value, series among);

/* Capacitance to buy in place of an old marking: of E6, or of E12 where E6 would raise it by more
 * than a fifth. NAN for NAN. */
double preferred_capacitance(double marked_uf);

/* Least voltage rating made that is not below the old one; the old one itself above the highest.
 * NAN for NAN. */
double preferred_voltage(double rated_v);

/* Least common endurance in hours that is not below the one needed; NAN where none is. */
double common_endurance(double needed_h);

/* The longest of them. */
double longest_endurance(void);

#endif
