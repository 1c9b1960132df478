/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* spotfield check JOB: reads and corrects everything, and says what was understood. */
#include <stdlib.h>

#include "cli/message.h"
#include "cli/told.h"
#include "core/json_values.h"
#include "page/job_json.h"

enum { QUIET, JSON, EXPORT };

static const option_row options[] = {
    [QUIET] = {"quiet", 'q', NULL, "print only what is wrong"},
    [JSON] = {"json", 'j', NULL, "what was understood, and every fault, as one JSON object"},
    [EXPORT] = {"export", 0, NULL, "the files of the job as one JSON object, for another program"},
    {0},
};

static sf_status check(const given *typed, sf_diagnostics *diagnostics)
{
    const char *folder = typed->operands[0];
    bool quiet = typed->values[QUIET] != NULL, json = typed->values[JSON] != NULL, told = true;
    understood found;
    sf_status status = job_understand(folder, sf_job_read, &found, diagnostics);
    tell_outcome(&check_command, status, diagnostics, folder, quiet);
    if (json)
        told = check_json_write(folder, &found, diagnostics, stdout);
    else if (status == SF_OK && !quiet) {
        told = understood_print(&found, stdout);
        putchar('\n');
        put_caution(stdout);
    }
    understood_clear(&found);
    /* what went wrong with standard output itself shows when it is closed */
    if (status != SF_OK || told || ferror(stdout))
        return status;
    tell_outcome(&check_command, SF_ERROR_MEMORY, &(sf_diagnostics){0}, folder, quiet);
    return SF_ERROR_MEMORY;
}

/* As the files are: what is wrong in them is for check to say. */
static sf_status export_job(const given *typed, sf_diagnostics *diagnostics)
{
    json_t *made = NULL;
    sf_status status = job_json_make(typed->operands[0], &made, diagnostics);
    if (status == SF_OK && !json_write(made, stdout) && !ferror(stdout))
        status = SF_ERROR_MEMORY;
    tell_outcome(&check_command, status, diagnostics, NULL, false);
    return status;
}

static int run(const given *typed)
{
    sf_diagnostics diagnostics = {0};
    sf_status status =
        typed->values[EXPORT] ? export_job(typed, &diagnostics) : check(typed, &diagnostics);
    sf_diagnostics_clear(&diagnostics);
    return exit_status(status);
}

const command check_command = {
    .name = "check",
    .operands = "JOB",
    .operand_count = 1,
    .summary = "read a job, correct its readings, say what was understood",
    .about = "Reads the CSV files of the folder JOB, corrects the readings and says what was "
             "understood and\nassumed. All faults of all files are listed in one run; nothing is "
             "written.",
    .example = "spotfield check desk-supply",
    .options = options,
    .run = run,
};
