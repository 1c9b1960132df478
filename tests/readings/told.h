/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the corrections complain of, for the tests of the readings room. */
#ifndef SPOTFIELD_TESTS_READINGS_TOLD_H
#define SPOTFIELD_TESTS_READINGS_TOLD_H

#include <stddef.h>

#include "spotfield/diagnostic.h"

/* The i-th diagnostic whole, "" where there are fewer; static, good until the next call. */
const char *diagnostic(const sf_diagnostics *diagnostics, size_t i);

/* Fail the test, and show the text, where it does not begin so, or does not hold a part. */
void assert_begins(const char *text, const char *beginning);
void assert_holds(const char *text, const char *part);

#endif
