/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was understood of a job, for other programs. */
#ifndef SPOTFIELD_CLI_CHECK_JSON_H
#define SPOTFIELD_CLI_CHECK_JSON_H

#include <stdbool.h>
#include <stdio.h>

#include "spotfield/job.h"
#include "spotfield/reading.h"

/* Writes one JSON object and a line end, also where the job has faults: `job` is then NULL, and
 * there are no observations and no pixels (NULL). A change of its members counts "schema" up. False
 * when memory is short or `to` took no more. */
bool check_json_write(const char *folder, const sf_job *job, const sf_observation *observations,
                      size_t count, const sf_pixels *pixels, const sf_diagnostics *diagnostics,
                      FILE *to);

#endif
