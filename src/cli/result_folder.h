/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The folder that results go to. */
#ifndef SPOTFIELD_CLI_RESULT_FOLDER_H
#define SPOTFIELD_CLI_RESULT_FOLDER_H

#include <stdbool.h>
#include <stdio.h>

#include "cli/command.h"
#include "spotfield/diagnostic.h"

/* The folder that was asked for, else JOB/out; new text, NULL when memory is short. */
char *results_folder(const char *asked, const char *job_folder);

/* EX_OK where results may go there; where a job stands they would replace its files. NULL: memory
 * was short. What stands against it is told, and the exit status that goes with it answered. */
int results_check(const command *of, const char *folder);

/* What a command does with what it came to. */
typedef struct result_deed {
    const command *of;
    const void *context; /* of both */
    /* Puts into words what was found; false when memory is short. */
    bool (*tell)(const void *context, FILE *to);
    sf_status (*write)(const void *context, sf_diagnostics *diagnostics);
    bool quiet; /* only errors are told */
} result_deed;

/* Writes results and tells of them; what went wrong is told too. The words are put together before
 * the files and said after them, so that a failure leaves either all or nothing behind. Signals
 * that end the program wait while the folder is between two states. */
sf_status results_finish(const result_deed *deed);

#endif
