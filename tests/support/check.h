/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What every test program includes: cmocka in its fixed order, and a comparison in double. */
#ifndef SPOTFIELD_TESTS_CHECK_H
#define SPOTFIELD_TESTS_CHECK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Fails unless |actual - expected| <= absolute + relative * |expected|; prints all of them. */
#define assert_close(actual, expected, relative, absolute)                                         \
    check_close((actual), (expected), (relative), (absolute), #actual, __FILE__, __LINE__)

void check_close(double actual, double expected, double relative, double absolute,
                 const char *expression, const char *file, int line);

/* Path of a file in the source tree, from its root; static buffer, good until the next call. */
const char *source_path(const char *relative);

/* A fresh empty folder; its path is static, good until the next call. Fails the test if none. */
const char *fresh_folder(void);

/* Writes a text file, made anew; fails the test where it cannot. */
void write_file(const char *folder, const char *name, const char *content);

/* Removes a folder made by fresh_folder and the files in it. */
void remove_folder(const char *folder);

/* A fresh folder for one test: its path, and how cmocka makes and removes it. */
extern char test_folder[256];
int folder_set_up(void **state);
int folder_tear_down(void **state);

#endif
