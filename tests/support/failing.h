/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* System calls and allocations that fail when a test says so. The linker puts these in the place
 * of the real ones (-Wl,--wrap). */
#ifndef SPOTFIELD_TESTS_FAILING_H
#define SPOTFIELD_TESTS_FAILING_H

#include <stdbool.h>

typedef enum call {
    CALL_WRITE,
    CALL_FSYNC,
    CALL_CLOSE,
    CALL_RENAME,
    CALL_LINK,
    CALL_FCHMOD,
    CALL_UNLINK,
    CALL_ALLOCATE, /* calloc and realloc */
    CALL_COUNT
} call;

/* From here on the `nth` call (1 is the next) fails with `error`, and with `all_after` every later
 * one of its kind too. nth 0: none. */
void fail_at(call which, int nth, int error, bool all_after);

/* Status of a process that die_at has ended. */
enum { KILLED = 77 };

/* From here on the process ends, as if killed, at the `nth` of those calls of whatever kind. */
void die_at(int nth);

/* Whether the failure asked for has happened. */
bool has_failed(call which);

/* No call fails any longer. */
void fail_none(void);

/* So many bytes at most go into one write, and each second write is interrupted; 0: as usual. */
void write_in_pieces(int bytes);

#endif
