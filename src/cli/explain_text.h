/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Why parts were judged as they were, for a person at a terminal. */
#ifndef SPOTFIELD_CLI_EXPLAIN_TEXT_H
#define SPOTFIELD_CLI_EXPLAIN_TEXT_H

#include <stdbool.h>
#include <stdio.h>

#include "spotfield/output.h"

/* Writes the reasoning on count parts of the job, by their indices, a blank line after each. False
 * when memory is short. */
bool explain_text_write(const sf_outcome *outcome, const size_t *parts, size_t count, FILE *to);

#endif
