/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* report.html as one text, for the tests that look into it. */
#ifndef SPOTFIELD_TESTS_REPORT_TEXT_H
#define SPOTFIELD_TESTS_REPORT_TEXT_H

#include <stddef.h>

#include "spotfield/output.h"

/* The page of an outcome; freed with free(). Fails the test where none is made. */
char *page_of(const sf_outcome *outcome);

/* How often `sought` stands in a text. */
size_t occurrences(const char *whole, const char *sought);

#endif
