/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A job in a fresh folder, open as the page has it, and what is done with it. */
#ifndef SPOTFIELD_TESTS_PAGE_FIXTURE_H
#define SPOTFIELD_TESTS_PAGE_FIXTURE_H

#include "page/session.h"

/* parts.csv as it is at first, and a change of it with what it leads to. */
extern const char fixture_parts[], move_c9[], moved_parts[];

/* Another change of it. */
extern const char rename_c7[];

/* The folder of the job. */
extern char fixture_folder[256];

/* A session on a fresh folder with that parts.csv; fails the test where it cannot be had. */
session *fixture_open(void);

/* Ends the session and removes the folder. */
void fixture_close(session *opened);

/* The same job as if the page had been started anew. */
session *fixture_anew(session *opened);

/* Fails the test unless the file of the folder holds exactly that. */
void assert_file(const char *name, const char *expected);

/* The bytes of a file of the folder, ended with a NUL and freed with free(). */
char *fixture_bytes(const char *name, size_t *size);

/* Path of a file of the folder; static, good until the next call. */
const char *fixture_path(const char *name);

/* Fail the test unless the browser is told so of the history, or nothing. */
void assert_told(session *of, const char *part);
void assert_told_nothing(session *of);

/* An edit as JSON; taking a step. Conflicts and diagnostics are dropped. */
sf_status fixture_edit(session *of, const char *words);
sf_status fixture_step(session *of, direction way);

/* Label of the step that would be taken next, once those that no longer fit are dropped. */
const char *fixture_next(session *of, direction way);

#endif
