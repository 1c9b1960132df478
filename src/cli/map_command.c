/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* spotfield map JOB: the main job, from the readings to the verdicts. */
#include <stdlib.h>
#include <string.h>

#include "cli/exits.h"
#include "cli/machine.h"
#include "cli/message.h"
#include "cli/options.h"
#include "cli/progress.h"
#include "cli/result_folder.h"
#include "cli/system.h"
#include "cli/told.h"
#include "core/checksum.h"
#include "job/choice_words.h"
#include "job/files.h"
#include "output/result_set.h"
#include "spotfield/spotfield.h"

/* A cell size that was asked for holds up to the library's own limit. */
enum { CELLS_MAX = 1000000 };

enum {
    OUT,
    MODEL,
    WIDTH,
    DPI,
    CELL,
    IF_AIR,
    IF_FAN,
    IF_GRADE,
    IF_HOURS,
    EXPLAIN,
    AGAIN,
    QUIET,
    JSON
};

static const option_row options[] = {
    [OUT] = {"out", 'o', "DIR", "folder for the results, made if missing (JOB/out)"},
    [MODEL] = {"model", 'm', "NAME", "how readings become a field (heat-balance)"},
    [WIDTH] = {"width", 'w', "PX", "width of the pictures, 400 to 8000 pixels (1600)"},
    [DPI] = {"dpi", 'd', "N", "dots per inch stored in the pictures, 50 to 1200 (300)"},
    [CELL] = {"cell", 'c', "MM", "side of a grid cell, 0.1 to 100 mm (by the board's size)"},
    [IF_AIR] = {"if-air", 0, "K", "what if the air in service were K kelvins warmer, -K cooler"},
    [IF_FAN] = {"if-fan", 0, NULL, "what if a fan blew over the board"},
    [IF_GRADE] = {"if-grade", 0, "C",
                  "what if parts to replace were fitted new, 85 to 150 C grade"},
    [IF_HOURS] = {"if-hours", 0, "H", "hours to come for each what-if (the service goal, or none)"},
    [EXPLAIN] = {"explain", 'x', "REF",
                 "explain the verdict on this part, step by step; repeatable"},
    [AGAIN] = {"again", 'a', NULL, "with several jobs, map even those whose results still hold"},
    [QUIET] = {"quiet", 'q', NULL, "print only errors; the files are still written"},
    [JSON] = {"json", 'j', NULL, "results as one JSON object; with several jobs, one a line"},
    {0},
};

/* What was asked for, and what comes of it. */
typedef struct request {
    const char *folder;
    char *results; /* folder of the results; owned */
    sf_map_options options;
    sf_picture_options picture;
    const given *typed; /* --explain may be given several times */
    bool quiet, json, again;
    uint64_t made_from; /* what decides the results: options, program and, once read, the job */
    board_row *row;     /* of the table of several boards; NULL: the one board is told of in full */
    size_t explained[GIVEN_MAX]; /* the parts to explain, as indices */
    size_t explained_count;
    sf_diagnostics warnings;
    sf_job *job;
    sf_outcome *outcome;
    sf_pictures pictures;
} request;

/* --- reading the request --- */

static bool read_model(const given *typed, sf_map_options *into)
{
    const char *name = typed->values[MODEL];
    struct nearest nearest = {.typed = name};
    if (!name)
        return true;
    for (const sf_field_model_name *const *model = sf_field_models(); *model; model++) {
        if (strcmp((*model)->name, name) == 0) {
            into->field.model = (*model)->name;
            return true;
        }
        nearest_offer(&nearest, (*model)->name);
    }
    tell_usage(&map_command, "--model %s: no such model; did you mean %s", name, nearest.name);
    return false;
}

static bool read_wishes(const given *typed, sf_map_options *into)
{
    sf_wishes *wishes = &into->wishes;
    wishes->fan = typed->values[IF_FAN] != NULL;
    if (wishes->fan && strcmp(into->field.model, sf_field_models()[0]->name) != 0) {
        tell_usage(&map_command, "--if-fan needs the model %s", sf_field_models()[0]->name);
        return false;
    }
    return option_number(&map_command, typed, IF_AIR, -50, 50, &wishes->air_k) &&
           option_number(&map_command, typed, IF_GRADE, 85, 150, &wishes->grade_c) &&
           option_number(&map_command, typed, IF_HOURS, 0, 1e6, &wishes->hours);
}

static void note_options(request *asked)
{
    const sf_map_options *wanted = &asked->options;
    const sf_wishes *wishes = &wanted->wishes;
    char told[512];
    snprintf(told, sizeof told, "%s %s %zu %d %d %a %a %d %a %a", SPOTFIELD_VERSION,
             wanted->field.model, wanted->field.cells_max, asked->picture.width_px,
             asked->picture.dpi, wanted->field.cell_mm, wishes->air_k, wishes->fan, wishes->grade_c,
             wishes->hours);
    asked->made_from = checksum_add_name(CHECKSUM_OF_NOTHING, told);
}

static bool read_request(const given *typed, request *asked)
{
    sf_map_options *wanted = &asked->options;
    *wanted = sf_map_options_default();
    asked->picture = sf_picture_options_default();
    asked->typed = typed;
    asked->quiet = typed->values[QUIET] != NULL;
    asked->json = typed->values[JSON] != NULL;
    asked->again = typed->values[AGAIN] != NULL;
    if (typed->values[CELL])
        wanted->field.cells_max = CELLS_MAX;
    bool sound = read_model(typed, wanted) &&
                 option_whole(&map_command, typed, WIDTH, 400, 8000, &asked->picture.width_px) &&
                 option_whole(&map_command, typed, DPI, 50, 1200, &asked->picture.dpi) &&
                 option_number(&map_command, typed, CELL, 0.1, 100, &wanted->field.cell_mm) &&
                 read_wishes(typed, wanted);
    note_options(asked);
    return sound;
}

/* --- the work --- */

static size_t find_part(const sf_job *job, const char *ref, struct nearest *nearest)
{
    for (size_t i = 0; i < job->part_count; i++) {
        if (strcmp(job->parts[i].ref, ref) == 0)
            return i;
        nearest_offer(nearest, job->parts[i].ref);
    }
    return job->part_count;
}

/* Looks every reference of --explain up; the first that is not there is told. */
static bool find_explained(request *asked)
{
    for (size_t i = 0; i < asked->typed->all_count; i++) {
        const char *ref = asked->typed->all[i].value;
        if (asked->typed->all[i].row != EXPLAIN)
            continue;
        struct nearest nearest = {.typed = ref};
        size_t part = find_part(asked->job, ref, &nearest);
        if (part == asked->job->part_count) {
            tell_usage(&map_command, "--explain %s: no such part; did you mean %s", ref,
                       nearest.name ? nearest.name : "none, parts.csv lists no part");
            return false;
        }
        asked->explained[asked->explained_count++] = part;
    }
    return true;
}

static sf_status map_read(request *asked)
{
    progress line;
    progress_begin(&line, "mapping");
    sf_map_options wanted = asked->options;
    wanted.on_step = progress_step;
    wanted.on_step_context = &line;
    sf_status status = sf_map_job(asked->job, &wanted, &asked->outcome, &asked->warnings);
    if (status == SF_OK) {
        progress_step("drawing the pictures", &line);
        status =
            sf_outcome_draw(asked->outcome, &asked->picture, &asked->pictures, &asked->warnings);
    }
    progress_end(&line);
    return status;
}

static sf_status read_job(request *asked)
{
    progress line;
    uint64_t read;
    progress_begin(&line, "reading the job");
    sf_status status = job_read_marked(asked->folder, &asked->job, &read, &asked->warnings);
    progress_end(&line);
    asked->made_from = checksum_add_number(asked->made_from, read);
    return status;
}

static sf_status write_mapped(const void *context, sf_diagnostics *diagnostics)
{
    const request *done = context;
    return outcome_write_marked(done->outcome, &done->pictures, done->made_from, done->results,
                                diagnostics);
}

static bool tell_mapped(const void *context, FILE *to)
{
    const request *done = context;
    const size_t *parts = done->explained, count = done->explained_count;
    if (done->json)
        return map_json_write(done->outcome, done->results, parts, count, &done->warnings, to);
    if (done->quiet || done->row)
        return true;
    return count > 0 ? explain_text_write(done->outcome, parts, count, to)
                     : map_text_write(done->outcome, done->results, to);
}

static sf_status map(request *asked)
{
    sf_status status = map_read(asked);
    tell_outcome(&map_command, status, &asked->warnings, asked->folder, asked->quiet);
    const result_deed deed = {&map_command, asked, tell_mapped, write_mapped, asked->quiet};
    if (status == SF_OK)
        status = results_finish(&deed);
    sf_pictures_clear(&asked->pictures);
    sf_outcome_free(asked->outcome);
    return status;
}

/* Fills the row of a board whose results are written; false where they cannot be read. */
static bool fill_row(const request *asked, bool unchanged)
{
    board_row *row = asked->row;
    const sf_board *board = &asked->job->board;
    *row = (board_row){.unchanged = unchanged,
                       .spare_pct = asked->job->policy.kit_spare_pct,
                       .name = excerpt_of(board->name),
                       .machine = excerpt_of(board->machine),
                       .owner = excerpt_of(board->owner),
                       .technician = excerpt_of(board->technician)};
    row->mapped = board_row_count(asked->results, row);
    return row->mapped;
}

/* One of several boards whose results are as they would be made now: they are not made again. What
 * --json prints is more than they hold. */
static bool results_hold(const request *asked)
{
    return asked->row && !asked->again && !asked->json &&
           results_stand(asked->results, asked->made_from) && fill_row(asked, true);
}

static sf_status map_or_keep(request *asked)
{
    if (results_hold(asked)) {
        tell_outcome(&map_command, SF_OK, &asked->warnings, asked->folder, asked->quiet);
        return SF_OK;
    }
    sf_status status = map(asked);
    if (status == SF_OK && asked->row && !fill_row(asked, false))
        status = SF_ERROR_WRITE;
    return status;
}

/* The exit status. A part that is asked for must be there before any work is done. */
static int read_and_map(request *asked)
{
    int ends = EX_USAGE;
    sf_status status = read_job(asked);
    if (status != SF_OK) {
        tell_outcome(&map_command, status, &asked->warnings, asked->folder, asked->quiet);
        ends = exit_status(status);
    } else if (find_explained(asked)) {
        ends = exit_status(map_or_keep(asked));
    }
    sf_job_free(asked->job);
    sf_diagnostics_clear(&asked->warnings);
    return ends;
}

/* One of several boards has a row. */
static int map_folder(const void *context, const char *folder, const char *out, board_row *row)
{
    request asked = *(const request *)context;
    asked.folder = folder;
    asked.row = row;
    asked.results = results_folder(out, folder);
    withhold_as_job(folder);
    int status = results_check(&map_command, asked.results);
    if (status == EX_OK)
        status = read_and_map(&asked);
    free(asked.results);
    return status;
}

static int run(const given *typed)
{
    request asked = {0};
    if (!read_request(typed, &asked))
        return EX_USAGE;
    if (typed->operand_count == 1)
        return map_folder(&asked, typed->operands[0], typed->values[OUT], NULL);
    if (typed->values[EXPLAIN]) {
        tell_usage(&map_command, "--explain is for a part of one board; give one JOB");
        return EX_USAGE;
    }
    const machine boards = {&map_command,
                            typed->operands,
                            typed->operand_count,
                            typed->values[OUT],
                            asked.quiet || asked.json,
                            map_folder,
                            &asked};
    return machine_map(&boards);
}

/* --- help --- */

static void more_help(FILE *to)
{
    fputs("\nModels:\n", to);
    for (const sf_field_model_name *const *model = sf_field_models(); *model; model++)
        help_row(to, (*model)->name, 12, (*model)->description);
    fputs("\nResults:\n", to);
    for (const sf_output *output = sf_outputs(); output->name; output++)
        help_row(to, output->name, 12, output->description);
    putc('\n', to);
    put_caution(to);
}

const command map_command = {
    .name = "map",
    .operands = "JOB...",
    .operand_count = 1,
    .operands_go_on = true,
    .summary = "map the heat of a board and decide: replace, check or leave",
    .about = "Turns the readings of the folder JOB into the heat map of its board, decides for "
             "each\nelectrolytic capacitor whether to replace, check or leave it, and writes map, "
             "verdicts, kit and\nreport. The files appear all together or not at all; earlier "
             "results survive a failed run.\nThe boards of several JOBs are mapped at once, each "
             "into its own folder, and listed in a table.",
    .example = "spotfield map desk-supply --out results",
    .options = options,
    .more_help = more_help,
    .run = run,
};
