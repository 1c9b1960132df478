/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A plan for a person at a terminal, and for other programs. */
#ifndef SPOTFIELD_CLI_PLAN_TEXT_H
#define SPOTFIELD_CLI_PLAN_TEXT_H

#include <stdbool.h>
#include <stdio.h>

#include "spotfield/plan.h"

/* Writes how to stay alive, then each place with its reason, then where the files are. */
void plan_text_write(const sf_plan *plan, const sf_job *job, const char *results_folder, FILE *to);

/* Writes one JSON object and a line end; a change of its members counts "schema" up. False when
 * memory is short or `to` took no more. */
bool plan_json_write(const sf_plan *plan, const sf_job *job, const char *results_folder,
                     const sf_diagnostics *diagnostics, FILE *to);

#endif
