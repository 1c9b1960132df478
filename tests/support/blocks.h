/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Three files that are written together into a fresh folder, for the tests of atomic writing. */
#ifndef SPOTFIELD_TESTS_BLOCKS_H
#define SPOTFIELD_TESTS_BLOCKS_H

#include <stdbool.h>

#include "core/atomic.h"
#include "support/check.h"
#include "support/failing.h"

/* The first of the files is longer than a block of the disk. */
enum { BLOCKS = 3, LONG_BYTES = 9437 };
extern const file_block blocks[BLOCKS];

/* The folder, and what the writing complained of. */
extern char folder[256];
extern sf_diagnostics diagnostics;

int set_up(void **state);
int tear_down(void **state);

#define CASE(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

/* Path of a file in the folder; static, good until the next call. */
const char *path_of(const char *name);

/* Whether a file of the folder holds just that, and how many entries a folder has. */
bool holds(const char *name, const void *bytes, size_t count);
size_t entries(const char *of);

/* An earlier result, in which one of the files is missing. */
void lay_earlier(void);

/* Fail the test unless the folder holds the earlier result, or the three files, and nothing else.
 */
void check_earlier(void);
void check_new(void);

sf_status write_blocks(const char *into);

#endif
