/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A job folder made of the bytes of a fuzzer. */
#ifndef SPOTFIELD_TESTS_FUZZ_FOLDER_H
#define SPOTFIELD_TESTS_FUZZ_FOLDER_H

#include <stddef.h>
#include <stdint.h>

/* Lays the bytes down as files of a job folder in memory and answers its path, the same each time.
 * A line "=== NAME" begins the file of that name, which goes on to the next such line; bytes
 * before the first one, and a name that no job has, are passed over. board.csv, sources.csv,
 * readings.csv and parts.csv that the bytes do not name are those of a small sound job; no other
 * file is there. The folder goes when the program ends by itself. */
const char *fuzz_folder(const uint8_t *bytes, size_t size);

/* The same folder with the bytes as the one file of that name; the others are as they were. */
const char *fuzz_folder_with(const char *name, const uint8_t *bytes, size_t size);

/* The same folder with the sound job alone, whatever was written there meanwhile. */
const char *fuzz_folder_anew(void);

#endif
