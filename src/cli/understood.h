/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was understood of a job, in words. */
#ifndef SPOTFIELD_CLI_UNDERSTOOD_H
#define SPOTFIELD_CLI_UNDERSTOOD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "spotfield/job.h"
#include "spotfield/reading.h"

/* Prints a job, its corrected readings and its thermogram (NULL: none), a heading a line.
 * False when memory is short. */
bool understood_print(const sf_job *job, const sf_observation *observations, size_t count,
                      const sf_pixels *pixels, FILE *to);

#endif
