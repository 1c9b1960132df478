/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* spotfield compare BEFORE AFTER: what changed between two surveys of one board. */
#include <stdlib.h>

#include "cli/exits.h"
#include "cli/message.h"
#include "cli/options.h"
#include "cli/progress.h"
#include "cli/result_folder.h"
#include "cli/system.h"
#include "cli/told.h"
#include "spotfield/spotfield.h"

enum { OUT, WIDTH, DPI, QUIET, JSON };

static const option_row options[] = {
    [OUT] = {"out", 'o', "DIR", "folder for the results, made if missing (AFTER/out)"},
    [WIDTH] = {"width", 'w', "PX", "width of the picture, 400 to 8000 pixels (1600)"},
    [DPI] = {"dpi", 'd', "N", "dots per inch stored in the picture, 50 to 1200 (300)"},
    [QUIET] = {"quiet", 'q', NULL, "print only errors; the files are still written"},
    [JSON] = {"json", 'j', NULL, "the comparison as one JSON object"},
    {0},
};

/* What was asked for, and what came of it. */
typedef struct request {
    const char *folders[2]; /* before, after */
    char *results;          /* folder of the results; owned */
    sf_picture_options picture;
    bool quiet, json;
    sf_job *jobs[2];
    sf_outcome *outcomes[2];
    sf_comparison *found;
    sf_diagnostics warnings; /* of the comparison itself */
} request;

static bool read_request(const given *typed, request *asked)
{
    asked->folders[0] = typed->operands[0];
    asked->folders[1] = typed->operands[1];
    asked->quiet = typed->values[QUIET] != NULL;
    asked->json = typed->values[JSON] != NULL;
    asked->results = results_folder(typed->values[OUT], asked->folders[1]);
    withhold_as_job(asked->folders[0]);
    withhold_as_job(asked->folders[1]);
    asked->picture = sf_picture_options_default();
    return option_whole(&compare_command, typed, WIDTH, 400, 8000, &asked->picture.width_px) &&
           option_whole(&compare_command, typed, DPI, 50, 1200, &asked->picture.dpi);
}

static sf_status map_survey(request *asked, int survey, sf_diagnostics *diagnostics)
{
    progress line;
    progress_begin(&line, "reading the job");
    sf_map_options wanted = sf_map_options_default();
    wanted.on_step = progress_step;
    wanted.on_step_context = &line;
    sf_status status = sf_job_read(asked->folders[survey], &asked->jobs[survey], diagnostics);
    if (status == SF_OK)
        status = sf_map_job(asked->jobs[survey], &wanted, &asked->outcomes[survey], diagnostics);
    progress_end(&line);
    return status;
}

/* Both, so that the faults of both are told in one run; the first failure is answered. */
static sf_status map_both(request *asked)
{
    sf_status first = SF_OK;
    for (int i = 0; i < 2; i++) {
        sf_diagnostics diagnostics = {0};
        sf_status status = map_survey(asked, i, &diagnostics);
        tell_outcome(&compare_command, status, &diagnostics, asked->folders[i], asked->quiet);
        first = first == SF_OK ? status : first;
        sf_diagnostics_clear(&diagnostics);
    }
    return first;
}

static sf_status write_finding(const void *context, sf_diagnostics *diagnostics)
{
    const request *done = context;
    return sf_comparison_write(done->found, done->outcomes[0], done->outcomes[1], &done->picture,
                               done->results, diagnostics);
}

static bool tell_finding(const void *context, FILE *to)
{
    const request *done = context;
    const compared told = {
        .found = done->found, .before = done->outcomes[0], .after = done->outcomes[1]};
    if (done->json)
        return compare_json_write(&told, done->results, &done->warnings, to);
    return done->quiet || compare_text_write(&told, done->results, to);
}

static sf_survey survey_of(const sf_outcome *outcome)
{
    return (sf_survey){outcome->job, outcome->field, outcome->observations,
                       outcome->observation_count};
}

static sf_status compare_mapped(request *asked)
{
    sf_survey before = survey_of(asked->outcomes[0]), after = survey_of(asked->outcomes[1]);
    sf_status status = sf_surveys_compare(&before, &after, &asked->found, &asked->warnings);
    tell_outcome(&compare_command, status, &asked->warnings, NULL, asked->quiet);
    const result_deed deed = {&compare_command, asked, tell_finding, write_finding, asked->quiet};
    return status == SF_OK ? results_finish(&deed) : status;
}

static sf_status compare(request *asked)
{
    sf_status status = map_both(asked);
    if (status == SF_OK)
        status = compare_mapped(asked);
    sf_comparison_free(asked->found);
    sf_diagnostics_clear(&asked->warnings);
    for (int i = 0; i < 2; i++) {
        sf_outcome_free(asked->outcomes[i]);
        sf_job_free(asked->jobs[i]);
    }
    return status;
}

static int run(const given *typed)
{
    request asked = {0};
    int status =
        read_request(typed, &asked) ? results_check(&compare_command, asked.results) : EX_USAGE;
    if (status == EX_OK)
        status = exit_status(compare(&asked));
    free(asked.results);
    return status;
}

static void more_help(FILE *to)
{
    fputs("\nResults:\n"
          "  compare.csv     each part: rise before and after, its change, heat against meter\n"
          "  difference.png  the change of the rise, hatched where it is within its uncertainty\n"
          "  compare.html    all of it on one page that needs no network\n\n",
          to);
    put_caution(to);
}

const command compare_command = {
    .name = "compare",
    .operands = "BEFORE AFTER",
    .operand_count = 2,
    .summary = "compare two surveys of one board, and heat with meter",
    .about = "Fits the readings of two job folders of the same board, shows where it runs hotter "
             "or cooler by\nmore than the uncertainty, and how often the meter agrees with what "
             "the heat had said. Readings of\npulled parts go into parts.csv of BEFORE.",
    .example = "spotfield compare desk-supply-2019 desk-supply-2026",
    .options = options,
    .more_help = more_help,
    .run = run,
};
