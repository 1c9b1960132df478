/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The order of the lists: parts by what is bought for them, references as people count. */
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

#endif
