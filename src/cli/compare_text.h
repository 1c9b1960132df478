/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A comparison for a person at a terminal, and for other programs. */
#ifndef SPOTFIELD_CLI_COMPARE_TEXT_H
#define SPOTFIELD_CLI_COMPARE_TEXT_H

#include <stdbool.h>
#include <stdio.h>

#include "spotfield/spotfield.h"

/* What was compared. Nothing is owned. */
typedef struct compared {
    const sf_comparison *found;
    const sf_outcome *before, *after;
    const char *results_folder;
} compared;

/* False when memory is short. */
bool compare_text_write(const compared *told, FILE *to);

/* One JSON object. False when memory is short or `to` took no more. */
bool compare_json_write(const compared *told, const sf_diagnostics *diagnostics, FILE *to);

#endif
