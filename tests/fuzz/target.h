/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What libFuzzer calls, and the replay of the corpus too. */
#ifndef SPOTFIELD_TESTS_FUZZ_TARGET_H
#define SPOTFIELD_TESTS_FUZZ_TARGET_H

#include <stddef.h>
#include <stdint.h>

/* Feeds one input; answers 0, or does not return where something does not hold. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

#endif
