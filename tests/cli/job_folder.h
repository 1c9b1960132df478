/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Jobs laid down in fresh folders, for the program to read. */
#ifndef SPOTFIELD_TESTS_CLI_JOB_FOLDER_H
#define SPOTFIELD_TESTS_CLI_JOB_FOLDER_H

#include <stddef.h>

enum { PATH_BYTES = 1024 };

/* A folder with a job of 97.5 x 71.25 mm, 6 readings and 5 parts that holds no fault. Its path is
 * put into `folder`; remove it with remove_folder. */
void lay_job(char folder[PATH_BYTES]);

/* "folder/name" in a static buffer, one of four in turn. */
const char *in_folder(const char *folder, const char *name);

/* The whole of a file and a NUL after it, freed with free(); *size may be NULL. Fails the test
 * where it cannot be read. */
char *bytes_of(const char *path, size_t *size);

/* Puts a word in place of another in a file of a folder; fails the test where it is not there. */
void change_file(const char *folder, const char *name, const char *old, const char *new);

#endif
