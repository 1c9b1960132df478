/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Everything that is said on standard error, and the exit statuses that go with it. */
#ifndef SPOTFIELD_CLI_MESSAGE_H
#define SPOTFIELD_CLI_MESSAGE_H

#include "cli/command.h"
#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* A fault of the command line, and where help is. */
void tell_usage(const command *of, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* From now on colour is as it would be here, also where standard error is then sent on by way of a
 * file. */
void colour_keep(void);

/* Diagnostics as above and, where the run failed, a last line that says so: how many faults there
 * are, or what went wrong where none was told. */
void tell_outcome(const command *of, sf_status status, const sf_diagnostics *diagnostics,
                  const char *folder, bool errors_only);

/* Words from a file or the command line, safe for a terminal: control characters become spaces. */
void put_words(FILE *to, const char *words);

/* As fprintf, but every %s, which has no width here, is written as put_words does. */
void say(FILE *to, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* A line that says what the file of the name in the folder is, `what` before its path. */
void put_path(FILE *to, const char *what, const char *folder, const char *name);

/* "1 part" or "3 parts", as `one` and `many` have it behind the number. */
void put_count(FILE *to, size_t count, const char *one, const char *many);

/* The one line of caution that ends what tells a person to work on a board. */
void put_caution(FILE *to);

/* Status of the library as an exit status of <sysexits.h>. */
int exit_status(sf_status status);

/* Tells that memory is short, and answers the exit status. */
int memory_short(const command *of);

#endif
