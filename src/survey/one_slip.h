/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Slips of the pen in one reading or two: a digit too few, two digits in the wrong order, two
 * readings written down for each other. Each is held against what was written by the evidence of
 * the field's own model. */
#ifndef SPOTFIELD_SURVEY_ONE_SLIP_H
#define SPOTFIELD_SURVEY_ONE_SLIP_H

#include "spotfield/survey.h"

enum { SLIP_TENTH, SLIP_DIGITS, SLIP_EXCHANGED, SLIP_KINDS };

/* Every slip that a job's readings may hold. `readings` tells of each which of the job's were
 * meant otherwise, and `meant` as what value the first of them. */
typedef struct slip_list {
    sf_slip *items;
    struct slip_words {
        int kind;
        size_t readings[2];
        double meant;
    } * words;
    size_t count, room;
    size_t of_kind[SLIP_KINDS];
} slip_list;

/* None where there is a thermogram or more readings than the field weighs slips for. Ended with
 * slips_clear in any case. SF_ERROR_MEMORY. */
sf_status slips_list(const sf_job *job, const sf_outcome *outcome, slip_list *made);
void slips_clear(slip_list *list);

/* Where the outcome's field holds one far more likely than the readings as they are, it becomes
 * outcome->one_slip and a warning. SF_ERROR_MEMORY. */
sf_status one_slip_tell(sf_outcome *outcome, const slip_list *list, sf_diagnostics *diagnostics);

/* --- slips that a whole file shares --- */

/* Where something is off with the field of an outcome, fits it on a coarse grid as the readings are
 * and under each hypothesis: Fahrenheit, y counted from the top, x and y swapped, inches, tenths,
 * a digit too few. One that fits far better and is plausible becomes outcome->whole_file and a
 * warning; none: it stays NULL. options: of the field. SF_ERROR_MEMORY. */
sf_status whole_file_ask(sf_outcome *outcome, const sf_field_options *options,
                         sf_diagnostics *diagnostics);

#endif
