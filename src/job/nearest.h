/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The known name that a mistyped one most likely means. */
#ifndef SPOTFIELD_JOB_NEAREST_H
#define SPOTFIELD_JOB_NEAREST_H

#include <stddef.h>

/* Start as { typed, NULL, 0 }, offer every known name, then read `name`: the one with the least
 * edit distance, the first of several; NULL where none was offered. Letter case does not count. */
struct nearest {
    const char *typed;
    const char *name;
    size_t distance;
};

void nearest_offer(struct nearest *nearest, const char *name);

#endif
