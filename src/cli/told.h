/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the commands tell a person at a terminal, and other programs. */
#ifndef SPOTFIELD_CLI_TOLD_H
#define SPOTFIELD_CLI_TOLD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "output/comparison.h"
#include "spotfield/spotfield.h"
#include "survey/plan_job.h"

/* Writes the verdict, the zones, what to look for, how far the map can be trusted, and where
 * picture and report are. False when memory is short. */
bool map_text_write(const sf_outcome *outcome, const char *results_folder, FILE *to);

/* Writes the reasoning on count parts of the job, by their indices, a blank line after each. False
 * when memory is short. */
bool explain_text_write(const sf_outcome *outcome, const size_t *parts, size_t count, FILE *to);

/* Writes one JSON object and a line end; its members are told in the manual, and "schema" counts
 * up when one of them changes. A number that is not known is null. False when memory is short or
 * `to` took no more. */
bool map_json_write(const sf_outcome *outcome, const char *results_folder, const size_t *explained,
                    size_t explained_count, const sf_diagnostics *diagnostics, FILE *to);

/* --- a plan --- */

/* Writes how to stay alive, then each place with its reason, then where the files are. */
void plan_text_write(const sf_plan *plan, const sf_job *job, const char *results_folder, FILE *to);

/* Writes one JSON object and a line end; a change of its members counts "schema" up. False when
 * memory is short or `to` took no more. */
bool plan_json_write(const sf_plan *plan, const sf_job *job, const char *results_folder,
                     const sf_diagnostics *diagnostics, FILE *to);

/* --- a comparison --- */

/* False when memory is short. */
bool compare_text_write(const compared *told, const char *results_folder, FILE *to);

/* One JSON object. False when memory is short or `to` took no more. */
bool compare_json_write(const compared *told, const char *results_folder,
                        const sf_diagnostics *diagnostics, FILE *to);

/* --- what was understood of a job --- */

/* Writes one JSON object and a line end, also where the job has faults: all of `found` is then
 * zero. A change of its members counts "schema" up. False when memory is short or `to` took no
 * more. */
bool check_json_write(const char *folder, const understood *found,
                      const sf_diagnostics *diagnostics, FILE *to);

/* Prints a job, its corrected readings and its thermogram, a heading a line. False when memory is
 * short. */
bool understood_print(const understood *found, FILE *to);

#endif
