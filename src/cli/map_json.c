/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The outcome of a mapping for other programs, by jansson. Names carry their units and are those of
 * the result tables. */
#include "cli/told.h"

#include <math.h>
#include <stdlib.h>

#include <jansson.h>

#include "core/json_values.h"
#include "output/findings.h"

enum { SCHEMA = 3 };

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

static json_t *yardsticks_json(const sf_outcome *outcome)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < outcome->reference_count; i++) {
        const sf_reference *of = &outcome->references[i];
        all = list_append(all, json_pack("{s:o, s:o}", "model", value_words(of->model),
                                         "left_out_rmse_k", value_number(of->rmse_k)));
    }
    return all;
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
        "yardsticks", yardsticks_json(outcome));
}

static json_t *bodies_json(const sf_pixels *pixels)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < pixels->body_count; i++) {
        const sf_body *body = &pixels->bodies[i];
        all = list_append(all,
                          json_pack("{s:o, s:b, s:o, s:o}", "ref", value_words(body->ref),
                                    "is_part", body->is_part, "pixels", value_count(body->pixels),
                                    "temp_c", value_number(body->temp_c)));
    }
    return all;
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
        "from_below", pixels->from_below, "bodies", bodies_json(pixels));
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

static json_t *zone_json(const sf_zone *zone)
{
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "zone", value_words(zone->name),
        "kind", value_words(sf_zone_kind_text(zone->kind)), "area_mm2",
        value_number(zone->area_mm2), "peak_c", value_number(zone->peak_c), "peak_x_mm",
        value_number(zone->peak_x_mm), "peak_y_mm", value_number(zone->peak_y_mm), "parts",
        value_count(zone->parts), "replace", value_count(zone->verdicts[SF_REPLACE]), "check",
        value_count(zone->verdicts[SF_CHECK]), "leave", value_count(zone->verdicts[SF_LEAVE]),
        "sentence", value_words(zone->sentence));
}

static json_t *zones_json(const sf_outcome *outcome)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < outcome->zones->count; i++)
        all = list_append(all, zone_json(&outcome->zones->zones[i]));
    return all;
}

static const char *zone_name(const sf_zones *zones, size_t part)
{
    size_t zone = zones->part_zone[part];
    return zone == SF_NO_ZONE ? "" : zones->zones[zone].name;
}

static json_t *part_json(const sf_outcome *outcome, size_t index)
{
    const sf_part *part = &outcome->job->parts[index];
    const sf_part_result *found = &outcome->results[index];
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, "
        "s:o, s:o, s:o}",
        "ref", value_words(part->ref), "x_mm", value_number(part->x_mm), "y_mm",
        value_number(part->y_mm), "temp_c", value_number(found->temp_c), "temp_sd_k",
        value_number(found->temp_sd_k), "board_c", value_number(found->board_c), "board_sd_k",
        value_number(found->board_sd_k), "life_h", value_number(found->life_h), "used",
        value_number(found->used), "used_in_air", value_number(found->used_in_air), "used_low",
        value_number(found->used_low), "used_high", value_number(found->used_high), "past_life",
        value_number(found->past_life), "worn_out", value_number(found->worn_out), "type",
        value_words(sf_part_type_text(part->type)), "zone",
        value_words(zone_name(outcome->zones, index)), "verdict",
        value_words(sf_verdict_text(found->verdict)), "settles", value_number(found->settles),
        "settles_by",
        isnan(found->settles) ? json_null() : value_words(sf_method_text(found->settles_by)),
        "reason", value_words(found->reason));
}

static json_t *parts_json(const sf_outcome *outcome)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < outcome->job->part_count; i++)
        all = list_append(all, part_json(outcome, i));
    return all;
}

static json_t *source_json(const sf_source_fit *source)
{
    return json_pack(
        "{s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b}", "ref",
        value_words(source->ref), "listed", source->listed, "x_mm", value_number(source->x_mm),
        "y_mm", value_number(source->y_mm), "width_mm", value_number(source->width_mm), "height_mm",
        value_number(source->height_mm), "angle_deg", value_number(source->angle_deg), "rise_k",
        value_number(source->rise_k.value), "rise_sd_k", value_number(source->rise_k.sd), "power_w",
        value_number(source->power_w.value), "power_sd_w", value_number(source->power_w.sd),
        "evidence", value_number(source->evidence), "probability",
        value_number(source->probability), "contradiction", source->contradiction);
}

static json_t *sources_json(const sf_field *field)
{
    size_t sources = 0;
    const sf_source_fit *found = sf_field_sources(field, &sources);
    json_t *all = json_array();
    for (size_t i = 0; all && i < sources; i++)
        all = list_append(all, source_json(&found[i]));
    return all;
}

static json_t *kit_line_json(const sf_kit_line *line)
{
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o}",
        "count", value_count(line->count), "spares", value_count(line->spares), "capacitance_uf",
        value_number(line->capacitance_uf), "rated_v", value_number(line->rated_v), "rated_c",
        value_number(line->rated_c), "endurance_h", value_number(line->endurance_h),
        "diameter_mm_max", value_number(line->diameter_mm_max), "height_mm_max",
        value_number(line->height_mm_max), "type", value_words(sf_part_type_text(line->type)),
        "mount", value_words(line->mount == SF_FORM_UNKNOWN ? "" : sf_form_text(line->mount)),
        "lead_pitch_mm", value_number(line->lead_pitch_mm), "ripple_a_min",
        value_number(line->ripple_a_min), "esr_ohm_max", value_number(line->esr_ohm_max), "low_esr",
        line->low_esr, "description", value_words(line->description), "refs",
        value_words(line->refs), "note", value_words(line->note));
}

static json_t *kit_json(const sf_kit *kit)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < kit->count; i++)
        all = list_append(all, kit_line_json(&kit->lines[i]));
    return all;
}

static json_t *what_if_json(const sf_outcome *outcome, const sf_what_if_row *row)
{
    const sf_prospect *of = &row->prospect;
    const char *next = isnan(of->next_h) ? "" : outcome->job->parts[of->next_part].ref;
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "what_if", value_words(row->asked),
                     "replace", value_count(of->verdicts[SF_REPLACE]), "check",
                     value_count(of->verdicts[SF_CHECK]), "leave",
                     value_count(of->verdicts[SF_LEAVE]), "worn_out", value_number(of->worn_out),
                     "next_part", value_words(next), "next_h", value_number(of->next_h),
                     "next_years", value_number(of->next_years));
}

static json_t *what_ifs_json(const sf_outcome *outcome)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < outcome->what_if_count; i++)
        all = list_append(all, what_if_json(outcome, &outcome->what_ifs[i]));
    return all;
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
    json_t *made = json_pack(
        "{s:i, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "schema",
        SCHEMA, "job", value_words(outcome->job->folder), "board", board_json(outcome->job),
        "summary", summary_json(outcome), "look_first", findings_json(outcome), "field",
        field_json(outcome), "thermogram", thermogram_json(outcome), "zones", zones_json(outcome),
        "parts", parts_json(outcome), "sources", sources_json(outcome->field), "kit",
        kit_json(outcome->kit), "what_ifs", what_ifs_json(outcome), "explained",
        explained_json(outcome, explained, explained_count), "warnings",
        list_diagnostics(diagnostics), "files", files_json(results_folder));
    return json_write(made, to);
}
