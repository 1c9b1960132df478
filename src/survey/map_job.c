/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The whole line from a job to its outcome: readings, field, verdicts, zones, kit. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/parallel.h"
#include "spotfield/survey.h"
#include "survey/facts.h"
#include "survey/one_slip.h"
#include "survey/what_if.h"

/* One job on its way along the line. */
typedef struct run {
    const sf_job *job;
    sf_map_options options;
    sf_outcome *outcome; /* filled step by step */
    sf_diagnostics *diagnostics;
} run;

/* --- readings, field, parts --- */

/* Both are corrected even where one is wrong, so that every fault is told. */
static sf_status correct_readings(run *line)
{
    sf_outcome *outcome = line->outcome;
    sf_status status = sf_readings_correct(line->job, &outcome->observations,
                                           &outcome->observation_count, line->diagnostics);
    sf_status pictured = sf_thermogram_correct(line->job, &outcome->pixels, line->diagnostics);
    return status == SF_OK ? pictured : status;
}

/* `cans` are the places of the parts. */
static sf_field_input field_input(const run *line, const sf_point *cans)
{
    const sf_outcome *outcome = line->outcome;
    sf_field_input input =
        sf_field_input_of(line->job, outcome->observations, outcome->observation_count);
    input.pixels = outcome->pixels;
    input.cans = cans;
    input.can_count = line->job->part_count;
    return input;
}

static sf_status fit_field(run *line)
{
    sf_point *cans = sf_part_places(line->job);
    sf_field_input input = field_input(line, cans);
    slip_list slips = {0};
    sf_status status = cans ? slips_list(line->job, line->outcome, &slips) : SF_ERROR_MEMORY;
    input.slips = slips.items;
    input.slip_count = slips.count;
    if (status == SF_OK)
        status =
            sf_field_fit(&input, &line->options.field, &line->outcome->field, line->diagnostics);
    free(cans);
    if (status == SF_OK)
        status = whole_file_ask(line->outcome, &line->options.field, line->diagnostics);
    if (status == SF_OK)
        status = one_slip_tell(line->outcome, &slips, line->diagnostics);
    slips_clear(&slips);
    return status;
}

/* Every model but the one in use, not fitted yet. */
static sf_status list_references(const char *used, sf_outcome *outcome)
{
    const sf_field_model_name *const *models = sf_field_models();
    size_t count = 0;
    while (models[count])
        count++;
    outcome->references = array_new(count, sizeof *outcome->references);
    if (!outcome->references)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < count; i++)
        if (strcmp(models[i]->name, used) != 0)
            outcome->references[outcome->reference_count++] = (sf_reference){models[i]->name, NAN};
    return SF_OK;
}

typedef struct trial {
    const sf_field_input *input;
    const sf_field_options *options;
    sf_reference *of;
} trial;

/* A second opinion only: where it cannot be had, the job goes on without. */
static sf_status fit_reference(void *given)
{
    const trial *one = given;
    sf_field_options options = *one->options;
    sf_diagnostics dropped = {0};
    options.model = one->of->model;
    sf_status status = sf_field_leave_one_out(one->input, &options, &one->of->rmse_k, &dropped);
    sf_diagnostics_clear(&dropped);
    return status == SF_ERROR_MEMORY ? status : SF_OK;
}

static sf_status fit_references(run *line)
{
    sf_outcome *outcome = line->outcome;
    size_t count = outcome->reference_count;
    if (line->options.no_reference)
        return SF_OK;
    sf_point *cans = sf_part_places(line->job);
    trial *trials = array_new(count, sizeof *trials);
    sf_status status = cans && trials ? SF_OK : SF_ERROR_MEMORY;
    sf_field_input input = field_input(line, cans);
    for (size_t i = 0; status == SF_OK && i < count; i++)
        trials[i] = (trial){&input, &line->options.field, &outcome->references[i]};
    if (status == SF_OK)
        status = parallel_for(fit_reference, trials, count, sizeof *trials);
    free(trials);
    free(cans);
    return status;
}

/* The board under a part, in service. */
static sf_status tell_board(const run *line, size_t part)
{
    const sf_part *at = &line->job->parts[part];
    sf_part_result *result = &line->outcome->results[part];
    sf_estimate rise_k;
    sf_status status = sf_field_at(line->outcome->field, at->x_mm, at->y_mm, &rise_k);
    result->board_c = rise_k.value + sf_service_air_c(line->job);
    result->board_sd_k = rise_k.sd;
    return status;
}

static sf_status decide_parts(run *line)
{
    const sf_outcome *outcome = line->outcome;
    sf_estimate *rises_k = NULL;
    sf_trust *trusts = NULL;
    sf_status status = rises_at_parts(line->job, outcome->field, &rises_k);
    if (status == SF_OK)
        status = sf_parts_trust(line->job, outcome->field, outcome->observations, outcome->pixels,
                                &trusts);
    if (status == SF_OK)
        status = sf_parts_decide_trusting(line->job, rises_k, trusts, &line->outcome->results);
    free(rises_k);
    free(trusts);
    for (size_t i = 0; status == SF_OK && i < line->job->part_count; i++)
        status = tell_board(line, i);
    return status;
}

static sf_status answer_wishes(run *line)
{
    return what_ifs_answer(&line->options.wishes, line->outcome);
}

static sf_status divide_board(run *line)
{
    sf_outcome *outcome = line->outcome;
    sf_grid grid = sf_field_grid(outcome->field);
    outcome->temps_c = service_temps_c(line->job, outcome->field);
    if (!outcome->temps_c)
        return SF_ERROR_MEMORY;
    return sf_zones_find(line->job, outcome->results, &grid, outcome->temps_c, &outcome->zones);
}

static sf_status make_kit(run *line)
{
    return sf_kit_make(line->job, line->outcome->results, &line->outcome->kit);
}

/* --- the line --- */

typedef struct step {
    const char *doing;
    sf_status (*take)(run *line);
} step;

static const step steps[] = {
    {"correcting the readings", correct_readings},
    {"fitting the field", fit_field},
    {"fitting the reference models", fit_references},
    {"deciding part by part", decide_parts},
    {"dividing the board into zones", divide_board},
    {"grouping the kit", make_kit},
    {"answering what-ifs", answer_wishes},
};

sf_map_options sf_map_options_default(void)
{
    return (sf_map_options){.field = sf_field_options_default(),
                            .wishes = {.air_k = NAN, .grade_c = NAN, .hours = NAN}};
}

/* An error is told in any case, also by a step that has no list to tell it to. */
static sf_status take_step(run *line, const step *taken)
{
    size_t errors_before = line->diagnostics->error_count;
    if (line->options.on_step)
        line->options.on_step(taken->doing, line->options.on_step_context);
    sf_status status = taken->take(line);
    if (status != SF_OK && line->diagnostics->error_count == errors_before)
        sf_diagnose(line->diagnostics, SF_ERROR, "", 0, taken->doing, sf_status_text(status), "");
    return status;
}

sf_status sf_map_job(const sf_job *job, const sf_map_options *options, sf_outcome **outcome,
                     sf_diagnostics *diagnostics)
{
    run line = {.job = job, .options = *options, .diagnostics = diagnostics};
    line.options.field.position_sd_mm = job->policy.position_sd_mm;
    *outcome = NULL;
    line.outcome = array_new(1, sizeof *line.outcome);
    if (!line.outcome) {
        sf_diagnose(diagnostics, SF_ERROR, "", 0, "", sf_status_text(SF_ERROR_MEMORY), "");
        return SF_ERROR_MEMORY;
    }
    line.outcome->job = job;
    sf_status status = list_references(options->field.model, line.outcome);
    if (status != SF_OK)
        sf_diagnose(diagnostics, SF_ERROR, "", 0, "", sf_status_text(status), "");
    for (size_t i = 0; status == SF_OK && i < sizeof steps / sizeof *steps; i++)
        status = take_step(&line, &steps[i]);
    if (status == SF_OK)
        *outcome = line.outcome;
    else
        sf_outcome_free(line.outcome);
    return status;
}

void sf_outcome_free(sf_outcome *outcome)
{
    if (!outcome)
        return;
    sf_observations_free(outcome->observations, outcome->observation_count);
    sf_pixels_free(outcome->pixels);
    sf_field_free(outcome->field);
    free(outcome->references);
    free(outcome->whole_file);
    free(outcome->one_slip);
    free(outcome->temps_c);
    sf_part_results_free(outcome->results, outcome->job->part_count);
    sf_zones_free(outcome->zones);
    sf_kit_free(outcome->kit);
    for (size_t i = 0; i < outcome->what_if_count; i++)
        free(outcome->what_ifs[i].asked);
    free(outcome->what_ifs);
    free(outcome);
}
