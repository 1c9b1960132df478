/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What was understood of a job for other programs, by jansson. Names carry their units and are
 * those of the result tables. */
#include "cli/told.h"

#include <jansson.h>

#include "core/json_values.h"

enum { SCHEMA = 3 };

static json_t *reading_json(const sf_job *job, const sf_observation *reading)
{
    const char *part = reading->part == SF_NO_PART ? NULL : job->parts[reading->part].ref;
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o}", "id", value_words(reading->id),
        "x_mm", value_number(reading->x_mm), "y_mm", value_number(reading->y_mm), "method",
        value_words(sf_method_text(reading->method)), "spot",
        value_words(sf_spot_text(reading->spot)), "part", part ? value_words(part) : json_null(),
        "temp_c", value_number(reading->temp_c), "rise_k", value_number(reading->rise_k), "u_k",
        value_number(reading->sd_k), "in_fit", reading->in_fit, "remark",
        value_words(reading->remark));
}

static json_t *readings_json(const sf_job *job, const sf_observation *observations, size_t count)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < count; i++)
        all = list_append(all, reading_json(job, &observations[i]));
    return all;
}

static json_t *residuals_json(const sf_pixels *pixels)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < pixels->mark_count; i++)
        all = list_append(all, value_number(pixels->mark_residual_mm[i]));
    return all;
}

static json_t *bodies_json(const sf_pixels *pixels)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < pixels->body_count; i++) {
        const sf_body *body = &pixels->bodies[i];
        all = list_append(all, json_pack("{s:o, s:s, s:o, s:o}", "ref", value_words(body->ref),
                                         "kind", body->is_part ? "part" : "source", "pixels",
                                         value_count(body->pixels), "temp_c",
                                         value_number(body->temp_c)));
    }
    return all;
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
    return json_pack("{s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
                     "columns", value_count(job->thermogram.columns), "rows",
                     value_count(job->thermogram.rows), "pixel_mm", value_number(pixels->pixel_mm),
                     "covered", value_number(pixels->covered), "from_below", pixels->from_below,
                     "pixels", value_count(pixels->count), "least_c", value_number(pixels->least_c),
                     "most_c", value_number(pixels->most_c), "pixel_sd_k",
                     value_number(pixels->pixel_sd_k), "offset_sd_k",
                     value_number(pixels->offset_sd_k), "gain_sd", value_number(pixels->gain_sd),
                     "left_out", left_out, "marks_rms_mm", value_number(pixels->marks_rms_mm),
                     "mark_residuals_mm", residuals_json(pixels), "bodies", bodies_json(pixels));
}

static json_t *assumptions_json(const sf_job *job)
{
    json_t *all = json_array();
    for (size_t i = 0; all && job && i < job->assumption_count; i++)
        all = list_append(all, value_words(job->assumptions[i]));
    return all;
}

static json_t *diagnostic_json(const sf_diagnostic *diagnostic)
{
    return json_pack("{s:s, s:o, s:o, s:o, s:o, s:o}", "severity",
                     diagnostic->severity == SF_ERROR ? "error" : "warning", "file",
                     value_words(diagnostic->file), "line", value_count(diagnostic->line), "column",
                     value_words(diagnostic->column), "what", value_words(diagnostic->what),
                     "expected", value_words(diagnostic->expected));
}

static json_t *diagnostics_json(const sf_diagnostics *diagnostics)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < diagnostics->count; i++)
        all = list_append(all, diagnostic_json(&diagnostics->items[i]));
    return all;
}

bool check_json_write(const char *folder, const sf_job *job, const sf_observation *observations,
                      size_t count, const sf_pixels *pixels, const sf_diagnostics *diagnostics,
                      FILE *to)
{
    json_t *made = json_pack(
        "{s:i, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "schema", SCHEMA, "job",
        value_words(folder), "sound", job != NULL, "parts", value_count(job ? job->part_count : 0),
        "sources", value_count(job ? job->source_count : 0), "readings",
        readings_json(job, observations, count), "thermogram", thermogram_json(job, pixels),
        "assumptions", assumptions_json(job), "errors", value_count(diagnostics->error_count),
        "warnings", value_count(diagnostics->warning_count), "complaints",
        diagnostics_json(diagnostics));
    return json_write(made, to);
}
