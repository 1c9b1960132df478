/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Units in which the key files may give a value, and the one the job holds it in. */
#ifndef SPOTFIELD_JOB_UNIT_H
#define SPOTFIELD_JOB_UNIT_H

#include <stdbool.h>
#include <stddef.h>

/* Converts *value from the unit `written` to the unit `held` ("mm", "um", "C", "K" as a difference,
 * "h", "year", "%"); `written` "" means held already. False where it cannot. */
bool unit_convert(const char *held, const char *written, double *value);

/* Writes the units that convert to `held`, as "mm, cm, m or in"; "a blank cell" where none does. */
void unit_list(const char *held, char *list, size_t size);

#endif
