/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Files of one result, written so that a folder holds all of them or none. */
#ifndef SPOTFIELD_CORE_ATOMIC_H
#define SPOTFIELD_CORE_ATOMIC_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/diagnostic.h"
#include "spotfield/status.h"

/* One file to be; nothing is owned. */
typedef struct file_block {
    const char *name; /* inside the folder, without a separator */
    const void *bytes;
    size_t count;
} file_block;

/* Writes every block as a file of `folder`, which is made when it is not there, with its parent.
 * New content goes to hidden files beside the targets and is on the disk before the first of them
 * is renamed, in the order given: the file that speaks for the rest comes last. After a failure
 * every earlier file has its earlier content and no hidden file is left; one that the system does
 * not let go, then or after success, is a warning. An existing file keeps
 * its mode, a new one has what the umask leaves; a symbolic link is followed, one that leads
 * nowhere is replaced; a target that is no regular file is refused.
 * A caller that may be interrupted blocks the signals while it writes.
 * The reason of a failure is added to `diagnostics`: SF_ERROR_WRITE, SF_ERROR_MEMORY. */
sf_status atomic_write(const char *folder, const file_block *blocks, size_t count,
                       sf_diagnostics *diagnostics);

/* Whether `path` still holds what the block was made from. Asked of what is there just before it
 * is replaced, and of what was replaced just after, since another program may write in between. */
typedef struct atomic_guard {
    bool (*still)(const void *context, const file_block *block, const char *path);
    const void *context;
} atomic_guard;

/* The same where the guard (may be NULL) lets each file be replaced; SF_ERROR_DATA, with nothing
 * told and all as it was, where it does not, or where a file has come to a name that had none. */
sf_status atomic_replace(const char *folder, const file_block *blocks, size_t count,
                         const atomic_guard *guard, sf_diagnostics *diagnostics);

#endif
