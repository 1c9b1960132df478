/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What parts the cells of a file, and what of a cell's bytes is its text. */
#ifndef SPOTFIELD_JOB_CELL_TEXT_H
#define SPOTFIELD_JOB_CELL_TEXT_H

#include <stddef.h>

/* Moves *start and *end past the blanks about the text, and past the apostrophe that guards a
 * leading = + - @ in the files we write. */
void cell_text_trim(const char **start, const char **end);

/* --- which character parts the cells of a file --- */

/* Length of a first line "sep=;" as some spreadsheets write it, in quotation marks or with empty
 * cells behind it too, without its line end, and the character it names in *separator; 0 where the
 * first line is no such line. */
size_t separator_line(const char *bytes, size_t size, char *separator);

/* The one of comma, semicolon and tab that the header line holds most often outside quotation
 * marks; a comma where it holds none. Comment lines and blank lines before it are passed over. */
char separator_find(const char *bytes, size_t size);

#endif
