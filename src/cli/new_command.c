/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* spotfield new DIR: a starter job, and what to do with it. */
#include "cli/message.h"
#include "spotfield/job.h"

static void print_next(const char *folder)
{
    say(stdout,
        "A starter job is in %s: an invented board whose files explain their own columns.\n\n"
        "Next:\n"
        "  1. Put your board, its parts, heat sources and no-touch areas in place of the invented "
        "ones.\n"
        "  2. Empty readings.csv except for its first line; spotfield plan %s says where to read, "
        "and how.\n"
        "  3. Write what you read on the running board into readings.csv.\n"
        "  4. spotfield check %s   says what was understood\n"
        "  5. spotfield map %s     draws the heat map and decides part by part\n\n",
        folder, folder, folder, folder);
    put_caution(stdout);
}

static int run(const given *typed)
{
    const char *folder = typed->operands[0];
    sf_diagnostics diagnostics = {0};
    sf_status status = sf_job_start(folder, &diagnostics);
    tell_outcome(&new_command, status, &diagnostics, NULL, false);
    sf_diagnostics_clear(&diagnostics);
    if (status == SF_OK)
        print_next(folder);
    return exit_status(status);
}

static const option_row options[] = {{0}};

const command new_command = {
    .name = "new",
    .operands = "DIR",
    .operand_count = 1,
    .summary = "write a starter job: commented CSV files, ready to map",
    .about =
        "Writes a starter job into DIR, which is made if missing. Its CSV files hold an invented "
        "board\nand explain their own columns. Files that are already there are not touched.",
    .example = "spotfield new desk-supply",
    .options = options,
    .run = run,
};
