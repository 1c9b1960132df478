/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What came of the boards of a machine, for a person at a terminal. */
#ifndef SPOTFIELD_CLI_MACHINE_TEXT_H
#define SPOTFIELD_CLI_MACHINE_TEXT_H

#include <stdio.h>

#include "output/machine_files.h"

/* Writes a line for each board, the worst first, their sums, and where the files are: in `folder`;
 * NULL: there are none. False when memory is short. */
bool machine_text_write(const machine_told *told, const char *folder, FILE *to);

#endif
