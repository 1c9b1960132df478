/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How the correction of readings tells a fault and goes on. */
#include "readings/correction.h"

#include <stdio.h>

#include "core/diagnose.h"
#include "spotfield/reading.h"

const range board_c = {-40, 400, "C"};
const range air_c = {SF_AIR_C_MIN, SF_AIR_C_MAX, "C"};
const range emissivities = {SF_EMISSIVITY_MIN, 1, ""};

void correction_tell(correction *run, sf_severity severity, const char *file, size_t line,
                     const char *column, char *what, const char *expected)
{
    if (severity == SF_ERROR && run->status == SF_OK)
        run->status = SF_ERROR_DATA;
    if (diagnose_taking(run->diagnostics, severity, file, line, column, what, expected) != SF_OK)
        run->status = SF_ERROR_MEMORY;
}

void correction_refuse_range(correction *run, const char *file, size_t line, const char *column,
                             char *what, range in)
{
    char expected[80];
    snprintf(expected, sizeof expected, "a number from %.10g to %.10g%s%s", in.least, in.most,
             in.unit[0] ? " " : "", in.unit);
    correction_tell(run, SF_ERROR, file, line, column, what, expected);
}

void correction_refuse(correction *run, size_t line, const char *column, char *what,
                       const char *expected)
{
    correction_tell(run, SF_ERROR, "readings.csv", line, column, what, expected);
}

void correction_warn(correction *run, size_t line, const char *column, char *what,
                     const char *expected)
{
    correction_tell(run, SF_WARNING, "readings.csv", line, column, what, expected);
}
