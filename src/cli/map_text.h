/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The outcome of a mapping for a person at a terminal. */
#ifndef SPOTFIELD_CLI_MAP_TEXT_H
#define SPOTFIELD_CLI_MAP_TEXT_H

#include <stdbool.h>
#include <stdio.h>

#include "spotfield/output.h"

/* Writes the verdict, the zones, what to look for, how far the map can be trusted, and where
 * picture and report are. False when memory is short. */
bool map_text_write(const sf_outcome *outcome, const char *results_folder, FILE *to);

#endif
