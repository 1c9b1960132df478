/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Jobs whose every number lies at an end of its range. */
#ifndef SPOTFIELD_TESTS_FUZZ_EXTREME_H
#define SPOTFIELD_TESTS_FUZZ_EXTREME_H

#include <stdint.h>

#include "core/text.h"

/* Adds a job in the form of fuzz/folder.h. The same seed makes the same job on every machine. */
void extreme_job(uint64_t seed, text *into);

#endif
