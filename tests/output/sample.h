/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* An invented outcome for the tests of the output room: the rack power supply of a community radio
 * station's mixing desk. The rooms that would find it out are not needed: fake_rooms.c answers for
 * them. */
#ifndef SPOTFIELD_TESTS_SAMPLE_H
#define SPOTFIELD_TESTS_SAMPLE_H

#include <stddef.h>

#include "spotfield/output.h"

/* What the accessors of fake_rooms.c hand out. */
struct sf_field {
    sf_grid grid;
    unsigned char *inside;
    double *rise_k, *rise_sd_k;
    sf_field_summary summary;
    sf_source_fit *sources;
    size_t source_count;
    sf_reading_fit *readings;
    size_t reading_count;
    size_t pieces; /* 0 and 1: the board is whole; 2: cut where x is cut_mm */
    double cut_mm;
};

/* A board with so many parts and readings, everything on the heap and valid. */
sf_outcome *sample_outcome(size_t parts, size_t readings);
void sample_free(sf_outcome *outcome);

/* The job, to be changed by a test. */
sf_job *sample_job(sf_outcome *outcome);

/* Puts a copy of `words` in the place of a text of the sample. */
void sample_text(char **place, const char *words);

/* Of every such board: bytes that are no picture, in a frame that its parts stand in. */
extern const sf_pictures sample_pictures;

/* The rule that is said to have decided, its verdict, and what it mostly hangs on. */
void sample_decide(sf_part_result *result, sf_rule rule);

/* Counts anew, after a test has changed verdicts, what zones and kit say of them. */
void sample_recount(sf_outcome *outcome);

/* What sf_grades_measured finds; nothing at first. */
extern sf_grade_found sample_grades[2];

#endif
