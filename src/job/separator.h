/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Which character parts the cells of a file. */
#ifndef SPOTFIELD_JOB_SEPARATOR_H
#define SPOTFIELD_JOB_SEPARATOR_H

#include <stddef.h>

/* Length of a first line "sep=;" as some spreadsheets write it, without its line end, and the
 * character it names in *separator; 0 where the first line is no such line. */
size_t separator_line(const char *bytes, size_t size, char *separator);

/* The one of comma, semicolon and tab that the header line holds most often outside quotation
 * marks; a comma where it holds none. Comment lines and blank lines before it are passed over. */
char separator_find(const char *bytes, size_t size);

#endif
