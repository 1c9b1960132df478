/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One run over the readings of a job: what every step of it needs to tell a fault. */
#ifndef SPOTFIELD_READINGS_CORRECTION_H
#define SPOTFIELD_READINGS_CORRECTION_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/diagnostic.h"
#include "spotfield/job.h"
#include "spotfield/status.h"

/* A range of a number and its unit, "" where it has none; both ends belong to it. */
typedef struct range {
    double least, most;
    const char *unit;
} range;

/* Where temperatures on a board in service can lie; laminate chars well below the upper end, a
 * wire-wound resistor may reach it. */
extern const range board_c;

extern const range air_c, emissivities;

/* False for NAN. */
bool range_holds(range in, double value);

/* Steps go on after a fault, so that all are told; the status remembers the gravest. */
typedef struct correction {
    const sf_job *job;
    sf_diagnostics *diagnostics;
    sf_status status; /* SF_OK, SF_ERROR_DATA after an error, SF_ERROR_MEMORY whatever else */
} correction;

/* Tells a fault of any file. `what` is new text and is freed, NULL where memory was short. */
void correction_tell(correction *run, sf_severity severity, const char *file, size_t line,
                     const char *column, char *what, const char *expected);

/* The same for an error: a number outside its range, which is told as what is expected. */
void correction_refuse_range(correction *run, const char *file, size_t line, const char *column,
                             char *what, range in);

/* The same for an error of readings.csv. */
void correction_refuse(correction *run, size_t line, const char *column, char *what,
                       const char *expected);

/* The same for a warning, which leaves the status. */
void correction_warn(correction *run, size_t line, const char *column, char *what,
                     const char *expected);

/* The same for an error in a policy key. */
void correction_refuse_policy(correction *run, const char *key, char *what, const char *expected);

#endif
