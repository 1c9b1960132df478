/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A folder with new files in it takes the place of another in one step. */
#ifndef SPOTFIELD_OUTPUT_STAGING_H
#define SPOTFIELD_OUTPUT_STAGING_H

#include <stdbool.h>

#include "core/atomic.h"

/* Replaces the folder (a path without links) by one that holds the blocks and all other files of
 * the old one. True when it is done. False where it cannot be, and nothing has changed then: the
 * system cannot exchange names there, the folder is not ours to replace, the program runs inside
 * it, or it holds anything but plain files. What
 * the system does not let go, then or after success, is a warning. */
bool folder_exchange(const char *folder, const file_block *blocks, size_t count,
                     sf_diagnostics *diagnostics);

/* Removes what killed runs have left beside and inside the folder. Only while no other run is at
 * work there. What holds files that are nowhere else stays, and is a warning. */
void staging_tidy(const char *folder, sf_diagnostics *diagnostics);

#endif
