/* The outcome of a mapping for other programs, by jansson. Names carry their units and are those of
 * the result tables. */
#include "cli/map_json.h"

#include <math.h>
#include <stdlib.h>

#include <jansson.h>

#include "cli/path.h"
#include "core/memory.h"

enum { SCHEMA = 1, DIGITS = 9 };

/* JSON knows neither NaN nor infinity. */
static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *count(size_t value)
{
    return json_integer((json_int_t)value);
}

/* File names need not be UTF-8, and JSON must be: a byte above ASCII then reads as a question
 * mark. */
static json_t *words(const char *said)
{
    json_t *made = json_string(said);
    char *ascii = made ? NULL : text_copy(said);
    if (!ascii)
        return made;
    for (char *at = ascii; *at; at++)
        if ((unsigned char)*at >= 0x80)
            *at = '?';
    made = json_string(ascii);
    free(ascii);
    return made;
}

static json_t *path(const char *folder, const char *name)
{
    char *joined = path_join(folder, name);
    json_t *made = joined ? words(joined) : NULL;
    free(joined);
    return made;
}

/* Adds to an array that may have failed already; answers it, or NULL. */
static json_t *append(json_t *array, json_t *added)
{
    if (array && added && json_array_append_new(array, added) == 0)
        return array;
    if (!array)
        json_decref(added);
    json_decref(array);
    return NULL;
}

static json_t *board_json(const sf_job *job)
{
    const sf_board *board = &job->board;
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "name", words(board->name),
                     "width_mm", number(board->width_mm), "height_mm", number(board->height_mm),
                     "surveyed", words(board->surveyed), "ambient_c", number(board->ambient_c),
                     "service_ambient_c", number(board->service_ambient_c), "cover_rise_k",
                     number(job->policy.cover_rise_k), "run_hours_h", number(board->run_hours),
                     "service_goal_h", number(board->service_goal_h));
}

static json_t *field_json(const sf_outcome *outcome)
{
    sf_field_summary found = sf_field_summarize(outcome->field);
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
                     "model", words(found.model), "readings", count(found.readings), "cells",
                     count(found.cells), "cell_mm", number(found.cell_mm), "length_mm",
                     number(found.length_mm.value), "length_sd_mm", number(found.length_mm.sd),
                     "loss_w_m2k", number(found.loss_w_m2k.value), "loss_sd_w_m2k",
                     number(found.loss_w_m2k.sd), "background_k", number(found.background_k.value),
                     "background_sd_k", number(found.background_k.sd), "noise_factor",
                     number(found.noise_factor), "left_out_rmse_k", number(found.left_out_rmse_k),
                     "yardstick", words(outcome->yardstick), "yardstick_left_out_rmse_k",
                     number(outcome->yardstick_rmse_k));
}

static json_t *summary_json(const sf_outcome *outcome)
{
    char *sentence = sf_outcome_sentence(outcome);
    json_t *made = json_pack(
        "{s:o, s:o, s:o, s:o, s:o}", "sentence", sentence ? words(sentence) : NULL, "parts",
        count(outcome->job->part_count), "replace", count(outcome->kit->replaced), "check",
        count(outcome->kit->checked), "leave", count(outcome->kit->left));
    free(sentence);
    return made;
}

static json_t *zone_json(const sf_zone *zone)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "zone",
                     words(zone->name), "kind", words(sf_zone_kind_text(zone->kind)), "area_mm2",
                     number(zone->area_mm2), "peak_c", number(zone->peak_c), "peak_x_mm",
                     number(zone->peak_x_mm), "peak_y_mm", number(zone->peak_y_mm), "parts",
                     count(zone->parts), "replace", count(zone->verdicts[SF_REPLACE]), "check",
                     count(zone->verdicts[SF_CHECK]), "leave", count(zone->verdicts[SF_LEAVE]),
                     "sentence", words(zone->sentence));
}

static json_t *zones_json(const sf_outcome *outcome)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < outcome->zones->count; i++)
        all = append(all, zone_json(&outcome->zones->zones[i]));
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
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "ref",
        words(part->ref), "x_mm", number(part->x_mm), "y_mm", number(part->y_mm), "temp_c",
        number(found->temp_c), "temp_sd_k", number(found->temp_sd_k), "life_h",
        number(found->life_h), "used", number(found->used), "used_low", number(found->used_low),
        "used_high", number(found->used_high), "past_life", number(found->past_life), "worn_out",
        number(found->worn_out), "zone", words(zone_name(outcome->zones, index)), "verdict",
        words(sf_verdict_text(found->verdict)), "reason", words(found->reason));
}

static json_t *parts_json(const sf_outcome *outcome)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < outcome->job->part_count; i++)
        all = append(all, part_json(outcome, i));
    return all;
}

static json_t *source_json(const sf_source_fit *source)
{
    return json_pack("{s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b}",
                     "ref", words(source->ref), "listed", source->listed, "x_mm",
                     number(source->x_mm), "y_mm", number(source->y_mm), "width_mm",
                     number(source->width_mm), "height_mm", number(source->height_mm), "angle_deg",
                     number(source->angle_deg), "rise_k", number(source->rise_k.value), "rise_sd_k",
                     number(source->rise_k.sd), "power_w", number(source->power_w.value),
                     "power_sd_w", number(source->power_w.sd), "evidence", number(source->evidence),
                     "probability", number(source->probability), "contradiction",
                     source->contradiction);
}

static json_t *sources_json(const sf_field *field)
{
    size_t sources = 0;
    const sf_source_fit *found = sf_field_sources(field, &sources);
    json_t *all = json_array();
    for (size_t i = 0; all && i < sources; i++)
        all = append(all, source_json(&found[i]));
    return all;
}

static json_t *kit_line_json(const sf_kit_line *line)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "count",
                     count(line->count), "spares", count(line->spares), "capacitance_uf",
                     number(line->capacitance_uf), "rated_v", number(line->rated_v), "rated_c",
                     number(line->rated_c), "endurance_h", number(line->endurance_h),
                     "diameter_mm_max", number(line->diameter_mm_max), "height_mm_max",
                     number(line->height_mm_max), "refs", words(line->refs), "note",
                     words(line->note));
}

static json_t *kit_json(const sf_kit *kit)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < kit->count; i++)
        all = append(all, kit_line_json(&kit->lines[i]));
    return all;
}

static json_t *warnings_json(const sf_complaints *complaints)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < complaints->count; i++) {
        char *line = sf_complaint_text(&complaints->items[i]);
        all = append(all, line ? words(line) : NULL);
        free(line);
    }
    return all;
}

static json_t *files_json(const char *folder)
{
    json_t *all = json_object();
    for (const sf_output *output = sf_outputs(); all && output->name; output++)
        if (json_object_set_new(all, output->name, path(folder, output->name)) != 0) {
            json_decref(all);
            all = NULL;
        }
    return all;
}

bool map_json_write(const sf_outcome *outcome, const char *results_folder,
                    const sf_complaints *complaints, FILE *to)
{
    json_t *made = json_pack(
        "{s:i, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "schema", SCHEMA, "job",
        words(outcome->job->folder), "board", board_json(outcome->job), "summary",
        summary_json(outcome), "field", field_json(outcome), "zones", zones_json(outcome), "parts",
        parts_json(outcome), "sources", sources_json(outcome->field), "kit", kit_json(outcome->kit),
        "warnings", warnings_json(complaints), "files", files_json(results_folder));
    bool written = made && json_dumpf(made, to, JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    json_decref(made);
    return written && putc('\n', to) != EOF;
}
