/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the program asks of a system beyond the library; one file a system, of which one is built.
 */
#ifndef SPOTFIELD_CLI_SYSTEM_H
#define SPOTFIELD_CLI_SYSTEM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* First of all: what the system would do to the program or to its output of its own accord. */
void system_begin(void);

/* --- signals --- */

/* Which were held back before. */
typedef struct held_signals {
    unsigned long before[1024 / (8 * sizeof(unsigned long))];
} held_signals;

/* Holds back the signals that end the program, while a folder is between two states: in this thread
 * and in those that it starts. */
void signals_hold(held_signals *of);

/* Holds back all: a thread that is started now is never the one that gets a signal. */
void signals_hold_all(held_signals *of);
void signals_release(const held_signals *of);

/* Waits until one of those held back comes, and takes it. */
void signals_await(void);

/* --- streams --- */

/* Whether nobody reads standard output any longer, as after `| head`. */
bool output_reader_gone(void);

/* A stream that keeps what is written to it. */
typedef struct kept_words {
    FILE *to;
    char *words; /* new text once it is ended */
    size_t length;
} kept_words;

/* False when memory is short. */
bool words_begin(kept_words *of);
/* False where not all could be kept; *words is freed all the same. */
bool words_end(kept_words *of);

/* --- modes --- */

/* Adds to the umask of the process what the strictest CSV file of the folder, or the folder itself,
 * withholds from the group and from others. Before threads are started; nothing where there is no
 * folder, all where its files cannot be listed. What stands already keeps its mode, but for the
 * history of the page. */
void withhold_as_job(const char *folder);

#endif
