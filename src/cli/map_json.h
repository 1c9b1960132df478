/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The outcome of a mapping for other programs. */
#ifndef SPOTFIELD_CLI_MAP_JSON_H
#define SPOTFIELD_CLI_MAP_JSON_H

#include <stdbool.h>
#include <stdio.h>

#include "spotfield/diagnostic.h"
#include "spotfield/output.h"

/* Writes one JSON object and a line end; its members are told in the manual, and "schema" counts
 * up when one of them changes. A number that is not known is null. False when memory is short or
 * `to` took no more. */
bool map_json_write(const sf_outcome *outcome, const char *results_folder, const size_t *explained,
                    size_t explained_count, const sf_diagnostics *diagnostics, FILE *to);

#endif
