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

/* What was asked for. */
typedef struct request {
    const char *folders[2]; /* before, after */
    char *results;          /* folder of the results; owned */
    sf_picture_options picture;
    bool quiet, json;
} request;

/* One survey and what came of it. */
typedef struct survey {
    sf_job *job;
    sf_outcome *outcome;
} survey;

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

static sf_status map_survey(const char *folder, survey *into, sf_diagnostics *diagnostics)
{
    progress line;
    progress_begin(&line, "reading the job");
    sf_map_options wanted = sf_map_options_default();
    wanted.on_step = progress_step;
    wanted.on_step_context = &line;
    sf_status status = sf_job_read(folder, &into->job, diagnostics);
    if (status == SF_OK)
        status = sf_map_job(into->job, &wanted, &into->outcome, diagnostics);
    progress_end(&line);
    return status;
}

/* Both, so that the faults of both are told in one run; the first failure is answered. */
static sf_status map_both(const request *asked, survey surveys[2])
{
    sf_status first = SF_OK;
    for (int i = 0; i < 2; i++) {
        sf_diagnostics diagnostics = {0};
        sf_status status = map_survey(asked->folders[i], &surveys[i], &diagnostics);
        tell_outcome(&compare_command, status, &diagnostics, asked->folders[i], asked->quiet);
        first = first == SF_OK ? status : first;
        sf_diagnostics_clear(&diagnostics);
    }
    return first;
}

/* What came of it, and what is to be told. */
typedef struct finding {
    const request *asked;
    const compared told;
    const sf_diagnostics *warnings;
} finding;

static sf_status write_finding(const void *context, sf_diagnostics *diagnostics)
{
    const finding *done = context;
    const compared *told = &done->told;
    return sf_comparison_write(told->found, told->before, told->after, &done->asked->picture,
                               done->asked->results, diagnostics);
}

static bool tell_finding(const void *context, FILE *to)
{
    const finding *done = context;
    if (done->asked->json)
        return compare_json_write(&done->told, done->asked->results, done->warnings, to);
    return done->asked->quiet || compare_text_write(&done->told, done->asked->results, to);
}

static sf_survey survey_of(const survey *mapped)
{
    const sf_outcome *outcome = mapped->outcome;
    return (sf_survey){mapped->job, outcome->field, outcome->observations,
                       outcome->observation_count};
}

static sf_status compare_mapped(const request *asked, const survey surveys[2])
{
    sf_diagnostics diagnostics = {0};
    sf_comparison *found = NULL;
    sf_survey before = survey_of(&surveys[0]), after = survey_of(&surveys[1]);
    sf_status status = sf_surveys_compare(&before, &after, &found, &diagnostics);
    const finding done = {
        asked,
        {.found = found, .before = surveys[0].outcome, .after = surveys[1].outcome},
        &diagnostics};
    tell_outcome(&compare_command, status, &diagnostics, NULL, asked->quiet);
    const result_deed deed = {&compare_command, &done, tell_finding, write_finding, asked->quiet};
    if (status == SF_OK)
        status = results_finish(&deed);
    sf_comparison_free(found);
    sf_diagnostics_clear(&diagnostics);
    return status;
}

static sf_status compare(const request *asked)
{
    survey surveys[2] = {{0}};
    sf_status status = map_both(asked, surveys);
    if (status == SF_OK)
        status = compare_mapped(asked, surveys);
    for (int i = 0; i < 2; i++) {
        sf_outcome_free(surveys[i].outcome);
        sf_job_free(surveys[i].job);
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
