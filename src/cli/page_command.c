/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* spotfield page JOB: the bench page, until it is interrupted. */
#include <stdlib.h>
#include <unistd.h>

#include "cli/exits.h"
#include "cli/message.h"
#include "cli/options.h"
#include "cli/result_folder.h"
#include "cli/system.h"
#include "spotfield/page.h"

enum { PORT, OUT };

/* A person who has said that it is enough is not kept waiting for a field or plan. */
static const double PATIENCE_S = 0.3;

static const option_row options[] = {
    [PORT] = {"port", 'p', "N", "port on 127.0.0.1, 1024 to 65535 (any that is free)"},
    [OUT] = {"out", 'o', "DIR", "folder for exported files, made if missing (JOB/out)"},
    {0},
};

static void tell_address(const sf_page *page)
{
    printf("The page is at %s\nOpen it in a browser on this machine. Every change is in the job's "
           "files at once; Ctrl-C ends the page.\n\n",
           sf_page_address(page));
    put_caution(stdout);
    fflush(stdout);
}

/* The signals that end the program are held back in all threads and waited for here, so that none
 * comes between two files. */
static sf_status serve(const char *folder, const sf_page_options *wanted)
{
    held_signals before;
    sf_page *page = NULL;
    sf_diagnostics diagnostics = {0};
    signals_hold(&before);
    sf_status status = sf_page_start(folder, wanted, &page, &diagnostics);
    tell_outcome(&page_command, status, &diagnostics, NULL, false);
    sf_diagnostics_clear(&diagnostics);
    if (status == SF_OK) {
        tell_address(page);
        signals_await();
    }
    if (page && !sf_page_stop_within(page, PATIENCE_S)) {
        fflush(stdout);
        _exit(EX_OK); /* beside a thread that computes: what exit() clears away may be in use */
    }
    signals_release(&before);
    return status;
}

static int run(const given *typed)
{
    sf_page_options wanted = sf_page_options_default();
    char *results = results_folder(typed->values[OUT], typed->operands[0]);
    int status = EX_USAGE;
    wanted.results = results;
    withhold_as_job(typed->operands[0]);
    if (option_whole(&page_command, typed, PORT, 1024, 65535, &wanted.port))
        status = results_check(&page_command, results);
    if (status == EX_OK)
        status = exit_status(serve(typed->operands[0], &wanted));
    free(results);
    return status;
}

static void more_help(FILE *to)
{
    putc('\n', to);
    put_caution(to);
}

const command page_command = {
    .name = "page",
    .operands = "JOB",
    .operand_count = 1,
    .summary = "serve the bench page: place parts on a photo, probe and decide in a browser",
    .about = "Serves a page for the folder JOB to a browser on this machine: parts and sources are "
             "placed on a\nphoto, readings typed beside the running board, and map and verdicts "
             "change with each. The page and\nthe other commands work on the same CSV files. JOB "
             "may be empty or missing.",
    .example = "spotfield page desk-supply",
    .options = options,
    .more_help = more_help,
    .run = run,
};
