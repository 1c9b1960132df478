/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was understood of a job for other programs, by jansson. Names carry their units and are
 * those of the result tables. */
#include "cli/told.h"

#include <jansson.h>

#include "core/json_values.h"
#include "output/record.h"

enum { SCHEMA = 3 };

static void reading_record(const void *of, size_t row, record *into)
{
    const understood *readings = of;
    const sf_observation *reading = &readings->observations[row];
    record_words(into, "id", reading->id);
    record_short(into, "x_mm", reading->x_mm);
    record_short(into, "y_mm", reading->y_mm);
    record_words(into, "method", sf_method_text(reading->method));
    record_words(into, "spot", sf_spot_text(reading->spot));
    record_words(into, "part",
                 reading->part == SF_NO_PART ? NULL : readings->job->parts[reading->part].ref);
    record_short(into, "temp_c", reading->temp_c);
    record_short(into, "rise_k", reading->rise_k);
    record_short(into, "u_k", reading->sd_k);
    record_yes_no(into, "in_fit", reading->in_fit);
    record_words(into, "remark", reading->remark);
}

static json_t *residuals_json(const sf_pixels *pixels)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < pixels->mark_count; i++)
        all = list_append(all, value_number(pixels->mark_residual_mm[i]));
    return all;
}

static void body_record(const void *of, size_t row, record *into)
{
    const sf_body *bodies = of, *body = &bodies[row];
    record_words(into, "ref", body->ref);
    record_words(into, "kind", body->is_part ? "part" : "source");
    record_count(into, "pixels", body->pixels);
    record_short(into, "temp_c", body->temp_c);
}

/* null where the job has none */
static json_t *thermogram_json(const sf_job *job, const sf_pixels *pixels)
{
    if (!job || !pixels)
        return json_null();
    json_t *left_out =
        json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "all", value_count(pixels->left_out),
                  "on_bodies", value_count(pixels->on_bodies), "off_board",
                  value_count(pixels->off_board), "masked", value_count(pixels->masked), "cold",
                  value_count(pixels->cold), "blank", value_count(pixels->blank));
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "columns",
        value_count(job->thermogram.columns), "rows", value_count(job->thermogram.rows), "pixel_mm",
        value_number(pixels->pixel_mm), "covered", value_number(pixels->covered), "from_below",
        pixels->from_below, "pixels", value_count(pixels->count), "least_c",
        value_number(pixels->least_c), "most_c", value_number(pixels->most_c), "pixel_sd_k",
        value_number(pixels->pixel_sd_k), "offset_sd_k", value_number(pixels->offset_sd_k),
        "gain_sd", value_number(pixels->gain_sd), "left_out", left_out, "marks_rms_mm",
        value_number(pixels->marks_rms_mm), "mark_residuals_mm", residuals_json(pixels), "bodies",
        records_json(body_record, pixels->bodies, pixels->body_count));
}

static json_t *assumptions_json(const sf_job *job)
{
    json_t *all = json_array();
    for (size_t i = 0; all && job && i < job->assumption_count; i++)
        all = list_append(all, value_words(job->assumptions[i]));
    return all;
}

static void diagnostic_record(const void *of, size_t row, record *into)
{
    const sf_diagnostic *items = of, *diagnostic = &items[row];
    record_words(into, "severity", diagnostic->severity == SF_ERROR ? "error" : "warning");
    record_words(into, "file", diagnostic->file);
    record_count(into, "line", diagnostic->line);
    record_words(into, "column", diagnostic->column);
    record_words(into, "what", diagnostic->what);
    record_words(into, "expected", diagnostic->expected);
}

bool check_json_write(const char *folder, const understood *found,
                      const sf_diagnostics *diagnostics, FILE *to)
{
    const sf_job *job = found->job;
    json_t *made = json_pack(
        "{s:i, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "schema", SCHEMA, "job",
        value_words(folder), "sound", job != NULL, "parts", value_count(job ? job->part_count : 0),
        "sources", value_count(job ? job->source_count : 0), "readings",
        records_json(reading_record, found, found->observation_count), "thermogram",
        thermogram_json(job, found->pixels), "assumptions", assumptions_json(job), "errors",
        value_count(diagnostics->error_count), "warnings", value_count(diagnostics->warning_count),
        "complaints", records_json(diagnostic_record, diagnostics->items, diagnostics->count));
    return json_write(made, to);
}
