/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What of a cell's bytes is its text. */
#ifndef SPOTFIELD_JOB_CELL_TEXT_H
#define SPOTFIELD_JOB_CELL_TEXT_H

#include <stddef.h>

/* Bytes of the blank that stands at `at`, which lies before `end`; 0 where none does. */
size_t cell_text_blank(const char *at, const char *end);

/* Moves *start and *end past the blanks about the text, and past the apostrophe that guards a
 * leading = + - @ in the files we write. */
void cell_text_trim(const char **start, const char **end);

#endif
