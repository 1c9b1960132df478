/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* spotfield plan JOB: where the next readings are worth most. */
#include <stdlib.h>

#include "cli/exits.h"
#include "cli/message.h"
#include "cli/options.h"
#include "cli/progress.h"
#include "cli/result_folder.h"
#include "cli/system.h"
#include "cli/told.h"
#include "spotfield/spotfield.h"

enum { POINTS, OUT, WIDTH, DPI, QUIET, JSON };

static const option_row options[] = {
    [POINTS] = {"points", 'p', "N", "places to plan, 1 to 100 (8)"},
    [OUT] = {"out", 'o', "DIR", "folder for the results, made if missing (JOB/out)"},
    [WIDTH] = {"width", 'w', "PX", "width of the picture, 400 to 8000 pixels (1600)"},
    [DPI] = {"dpi", 'd', "N", "dots per inch stored in the picture, 50 to 1200 (300)"},
    [QUIET] = {"quiet", 'q', NULL, "print only errors; the files are still written"},
    [JSON] = {"json", 'j', NULL, "the plan as one JSON object"},
    {0},
};

/* What was asked for, and what comes of it. */
typedef struct request {
    const char *folder;
    char *results; /* folder of the results; owned */
    sf_plan_options options;
    sf_picture_options picture;
    bool quiet, json;
    sf_diagnostics warnings;
    understood found;
    sf_plan *plan;
} request;

static bool read_request(const given *typed, request *asked)
{
    int points = SF_PLAN_POINTS_DEFAULT;
    asked->folder = typed->operands[0];
    asked->quiet = typed->values[QUIET] != NULL;
    asked->json = typed->values[JSON] != NULL;
    asked->results = results_folder(typed->values[OUT], asked->folder);
    withhold_as_job(asked->folder);
    asked->options = sf_plan_options_default();
    asked->picture = sf_picture_options_default();
    bool whole = option_whole(&plan_command, typed, POINTS, 1, SF_PLAN_POINTS_MAX, &points) &&
                 option_whole(&plan_command, typed, WIDTH, 400, 8000, &asked->picture.width_px) &&
                 option_whole(&plan_command, typed, DPI, 50, 1200, &asked->picture.dpi);
    asked->options.points = (size_t)points;
    return whole;
}

static sf_status read_and_plan(request *asked)
{
    understood *found = &asked->found;
    progress line;
    progress_begin(&line, "reading the job");
    sf_status status = job_understand(asked->folder, sf_job_read_to_plan, found, &asked->warnings);
    progress_step("weighing the places to read", &line);
    asked->options.pixels = found->pixels;
    if (status == SF_OK)
        status = sf_plan_make(found->job, found->observations, found->observation_count,
                              &asked->options, &asked->plan, &asked->warnings);
    progress_end(&line);
    return status;
}

static sf_status write_planned(const void *context, sf_diagnostics *diagnostics)
{
    const request *done = context;
    const understood *found = &done->found;
    return sf_plan_write(done->plan, found->job, found->observations, found->observation_count,
                         &done->picture, done->results, diagnostics);
}

static bool tell_planned(const void *context, FILE *to)
{
    const request *done = context;
    if (done->json)
        return plan_json_write(done->plan, done->found.job, done->results, &done->warnings, to);
    if (!done->quiet)
        plan_text_write(done->plan, done->found.job, done->results, to);
    return true;
}

static sf_status plan(request *asked)
{
    sf_status status = read_and_plan(asked);
    tell_outcome(&plan_command, status, &asked->warnings, asked->folder, asked->quiet);
    const result_deed deed = {&plan_command, asked, tell_planned, write_planned, asked->quiet};
    if (status == SF_OK)
        status = results_finish(&deed);
    sf_plan_free(asked->plan);
    understood_clear(&asked->found);
    sf_diagnostics_clear(&asked->warnings);
    return status;
}

static int run(const given *typed)
{
    request asked = {0};
    int status =
        read_request(typed, &asked) ? results_check(&plan_command, asked.results) : EX_USAGE;
    if (status == EX_OK)
        status = exit_status(plan(&asked));
    free(asked.results);
    return status;
}

static void more_help(FILE *to)
{
    fputs("\nResults:\n"
          "  plan.csv        rank, place, spot, side, method, gain and reason of each reading\n"
          "  plan.png        the places on the heat map, numbered\n"
          "  worksheet.html  the same to print on A4 and fill in beside the board\n\n",
          to);
    put_caution(to);
}

const command plan_command = {
    .name = "plan",
    .operands = "JOB",
    .operand_count = 1,
    .summary = "say where the next readings settle the most verdicts, and how to take them",
    .about = "Ranks places on the board of the folder JOB by how much a reading there is expected "
             "to lower the\ncost of wrong verdicts. It works before any reading too: readings.csv "
             "may be missing or hold none.\nIn no-touch areas only infrared is proposed.",
    .example = "spotfield plan desk-supply --points 12",
    .options = options,
    .more_help = more_help,
    .run = run,
};
