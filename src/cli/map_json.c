/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The outcome of a mapping for other programs, by jansson. Names carry their units and are those of
 * the result tables. */
#include "cli/told.h"

#include <math.h>
#include <stdlib.h>

#include <jansson.h>

#include "core/json_values.h"
#include "output/tables.h"

enum { SCHEMA = 4 };

static json_t *board_json(const sf_job *job)
{
    const sf_board *board = &job->board;
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "name", value_words(board->name),
        "width_mm", value_number(board->width_mm), "height_mm", value_number(board->height_mm),
        "surveyed", value_words(board->surveyed), "ambient_c", value_number(board->ambient_c),
        "service_ambient_c", value_number(board->service_ambient_c), "cover_rise_k",
        value_number(job->policy.cover_rise_k), "run_hours_h", value_number(board->run_hours),
        "service_goal_h", value_number(board->service_goal_h));
}

static void reference_record(const void *of, size_t row, record *into)
{
    const sf_reference *references = of;
    record_words(into, "model", references[row].model);
    record_short(into, "left_out_rmse_k", references[row].rmse_k);
}

static json_t *field_json(const sf_outcome *outcome)
{
    sf_field_summary found = sf_field_summarize(outcome->field);
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "model",
        value_words(found.model), "readings", value_count(found.readings), "cells",
        value_count(found.cells), "cell_mm", value_number(found.cell_mm), "length_mm",
        value_number(found.length_mm.value), "length_sd_mm", value_number(found.length_mm.sd),
        "loss_w_m2k", value_number(found.loss_w_m2k.value), "loss_sd_w_m2k",
        value_number(found.loss_w_m2k.sd), "background_k", value_number(found.background_k.value),
        "background_sd_k", value_number(found.background_k.sd), "noise_factor",
        value_number(found.noise_factor), "left_out_rmse_k", value_number(found.left_out_rmse_k),
        "yardsticks",
        records_json(reference_record, outcome->references, outcome->reference_count));
}

static void body_record(const void *of, size_t row, record *into)
{
    const sf_body *bodies = of, *body = &bodies[row];
    record_words(into, "ref", body->ref);
    record_yes_no(into, "is_part", body->is_part);
    record_count(into, "pixels", body->pixels);
    record_short(into, "temp_c", body->temp_c);
}

/* null where there is none. */
static json_t *thermogram_json(const sf_outcome *outcome)
{
    const sf_pixels *pixels = outcome->pixels;
    if (!pixels)
        return json_null();
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, "
        "s:b, s:o}",
        "columns", value_count(outcome->job->thermogram.columns), "rows",
        value_count(outcome->job->thermogram.rows), "pixels", value_count(pixels->count), "blank",
        value_count(pixels->blank), "off_board", value_count(pixels->off_board), "on_bodies",
        value_count(pixels->on_bodies), "masked", value_count(pixels->masked), "cold",
        value_count(pixels->cold), "least_c", value_number(pixels->least_c), "most_c",
        value_number(pixels->most_c), "pixel_mm", value_number(pixels->pixel_mm), "covered",
        value_number(pixels->covered), "marks", value_count(pixels->mark_count), "marks_rms_mm",
        value_number(pixels->marks_rms_mm), "pixel_sd_k", value_number(pixels->pixel_sd_k),
        "offset_sd_k", value_number(pixels->offset_sd_k), "gain_sd", value_number(pixels->gain_sd),
        "from_below", pixels->from_below, "bodies",
        records_json(body_record, pixels->bodies, pixels->body_count));
}

static json_t *summary_json(const sf_outcome *outcome)
{
    char *sentence = sf_outcome_sentence(outcome);
    char *why = sf_outcome_why_not_all(outcome);
    json_t *made = json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "sentence", sentence ? value_words(sentence) : NULL,
        "why_not_all", why ? value_words(why) : NULL, "parts",
        value_count(outcome->job->part_count), "replace", value_count(outcome->kit->replaced),
        "check", value_count(outcome->kit->checked), "leave", value_count(outcome->kit->left),
        "part_error_k", value_number(sf_outcome_part_error_k(outcome)));
    free(sentence);
    free(why);
    return made;
}

static void what_if_record(const void *of, size_t row, record *into)
{
    const sf_outcome *outcome = of;
    const sf_prospect *found = &outcome->what_ifs[row].prospect;
    record_words(into, "what_if", outcome->what_ifs[row].asked);
    record_count(into, "replace", found->verdicts[SF_REPLACE]);
    record_count(into, "check", found->verdicts[SF_CHECK]);
    record_count(into, "leave", found->verdicts[SF_LEAVE]);
    record_short(into, "worn_out", found->worn_out);
    record_words(into, "next_part",
                 isnan(found->next_h) ? "" : outcome->job->parts[found->next_part].ref);
    record_short(into, "next_h", found->next_h);
    record_short(into, "next_years", found->next_years);
}

static json_t *files_json(const char *folder)
{
    json_t *all = json_object();
    for (const sf_output *output = sf_outputs(); all && output->name; output++)
        if (json_object_set_new(all, output->name, value_path(folder, output->name)) != 0) {
            json_decref(all);
            all = NULL;
        }
    return all;
}

/* One object a part: its reference and the lines about it. */
static json_t *explained_json(const sf_outcome *outcome, const size_t *parts, size_t count)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < count; i++) {
        char *said = NULL;
        sf_outcome_explain(outcome, parts[i], &said);
        json_t *words = said ? value_words(said) : NULL;
        const char *ref = outcome->job->parts[parts[i]].ref;
        all =
            list_append(all, json_pack("{s:o, s:o}", "ref", value_words(ref), "explained", words));
        free(said);
    }
    return all;
}

bool map_json_write(const sf_outcome *outcome, const char *results_folder, const size_t *explained,
                    size_t explained_count, const sf_diagnostics *diagnostics, FILE *to)
{
    size_t source_count = 0;
    sf_field_sources(outcome->field, &source_count);
    json_t *made = json_pack(
        "{s:i, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "schema",
        SCHEMA, "job", value_words(outcome->job->folder), "board", board_json(outcome->job),
        "summary", summary_json(outcome), "look_first", findings_json(outcome), "field",
        field_json(outcome), "thermogram", thermogram_json(outcome), "zones",
        records_json(zone_record, outcome->zones, outcome->zones->count), "parts",
        records_json(part_record, outcome, outcome->job->part_count), "sources",
        records_json(source_record, outcome, source_count), "kit",
        records_json(kit_record, outcome->kit, outcome->kit->count), "what_ifs",
        records_json(what_if_record, outcome, outcome->what_if_count), "explained",
        explained_json(outcome, explained, explained_count), "warnings",
        list_diagnostics(diagnostics), "files", files_json(results_folder));
    return json_write(made, to);
}
