/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Files of one row a key: board.csv and policy.csv. */
#ifndef SPOTFIELD_JOB_KEYS_H
#define SPOTFIELD_JOB_KEYS_H

#include <stdbool.h>
#include <stddef.h>

#include "job/column.h"

/* Reads `file` (key, value, unit) into the struct `target`, which holds the defaults and whose
 * texts are NULL; afterwards each text is set. A value is converted from the unit beside it. Where
 * the file is absent or refused the defaults stay. `lines`, unless NULL, gets the line of each key,
 * 0 where it is not there. */
file_state keys_read(struct intake *intake, const char *file, bool needed,
                     const struct column *keys, size_t key_count, void *target, size_t *lines);

#endif
