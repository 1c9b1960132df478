/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The boards of a machine, each a job, mapped at once. */
#ifndef SPOTFIELD_CLI_MACHINE_H
#define SPOTFIELD_CLI_MACHINE_H

#include "cli/command.h"
#include "output/machine_files.h"

typedef struct machine {
    const command *of;
    const char *const *folders;
    size_t count;
    const char *out; /* holds a folder of results for each job, of its name; NULL: JOB/out */
    bool no_table;
    /* In a process of its own: maps a job into `out`, fills its row, and answers the exit status.
     */
    int (*map)(const void *context, const char *folder, const char *out, board_row *row);
    const void *context;
} machine;

/* Maps each board, whatever becomes of the others, and tells of all; answers the highest exit
 * status of any. */
int machine_map(const machine *of);

#endif
