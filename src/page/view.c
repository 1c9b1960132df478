/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The job's files, field, verdicts, readings and plan for the browser. */
#include "page/view.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>

#include "core/json_values.h"
#include "job/places.h"
#include "output/set_words.h"
#include "output/tables.h"
#include "page/job_files.h"
#include "page/photo.h"
#include "spotfield/draw.h"
#include "survey/facts.h"
#include "survey/what_if.h"

/* --- the job's files --- */

json_t *view_stamp(uint64_t stamp)
{
    char digits[17];
    snprintf(digits, sizeof digits, "%016" PRIx64, stamp);
    return json_string(digits);
}

static json_t *row_texts(const sheet *of, size_t row)
{
    json_t *made = json_array();
    for (size_t column = 0; column < of->table.column_count; column++)
        made = list_append(made, value_words(sheet_text(of, row, column)));
    return made;
}

/* The cells of each row below the header, and the line of the file that it begins on, as the
 * diagnostics count. */
static json_t *sheet_json(const sheet *of)
{
    json_t *rows = json_array(), *lines = json_array();
    for (size_t row = 1; row < of->row_count; row++) {
        rows = list_append(rows, row_texts(of, row));
        lines = list_append(lines, value_count(table_line(&of->table, row - 1, 0)));
    }
    return json_pack("{s:o, s:o, s:o}", "columns", row_texts(of, 0), "rows", rows, "lines", lines);
}

/* A file that is no table of this job is told as null: the diagnostics of the live view say why. */
static json_t *file_json(const char *folder, size_t file)
{
    sheet read = {0};
    bool absent = false;
    sf_status status = job_file_read(folder, file, &read, &absent, NULL);
    if (status == SF_ERROR_MEMORY)
        return NULL;
    json_t *made = status == SF_OK ? sheet_json(&read) : json_null();
    sheet_clear(&read);
    return made;
}

static json_t *files_json(const char *folder)
{
    json_t *made = json_object();
    for (size_t file = 0; made && file < JOB_FILES; file++)
        if (json_object_set_new(made, job_files[file].name, file_json(folder, file)) != 0) {
            json_decref(made);
            made = NULL;
        }
    return made;
}

static json_t *palette_json(void)
{
    enum { SHADES = 64 };
    json_t *made = json_array();
    for (int i = 0; i < SHADES; i++) {
        sf_colour shade = sf_palette_colour(i / (SHADES - 1.0));
        made = list_append(
            made, json_pack("[i, i, i]", (int)shade.red, (int)shade.green, (int)shade.blue));
    }
    return made;
}

/* Told once: whoever is told next need not hear it again. */
static json_t *note_json(history *of)
{
    json_t *made = of->note ? value_words(of->note) : json_null();
    free(of->note);
    of->note = NULL;
    return made;
}

json_t *view_job(session *of)
{
    history *kept = &of->history;
    size_t dropped = 0;
    if (history_fit(kept, of->folder, &dropped) != SF_OK)
        return NULL;
    return json_pack("{s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o}", "stamp",
                     view_stamp(job_files_stamp(of->folder)), "folder", value_words(of->folder),
                     "files", files_json(of->folder), "keepout_told",
                     (int)job_file_is_there(of->folder, job_file_find("keepout.csv")), "undo",
                     value_words(step_label(history_next(kept, BACK))), "redo",
                     value_words(step_label(history_next(kept, AGAIN))), "note", note_json(kept),
                     "palette", palette_json(), "photo", photo_json(of->folder));
}

/* --- what the files come to --- */

/* Hundredths, so that the text of ten thousand cells stays short. */
static json_t *hundredths(const double *values, size_t count)
{
    json_t *made = json_array();
    for (size_t i = 0; i < count; i++)
        made = list_append(made, isfinite(values[i]) ? json_integer(llround(values[i] * 100))
                                                     : json_null());
    return made;
}

static json_t *grid_json(const sf_field *field, const double *temps_c)
{
    sf_grid grid = sf_field_grid(field);
    size_t cells = grid.columns * grid.rows;
    return json_pack("{s:o, s:o, s:o, s:o, s:o}", "cell_mm", value_number(grid.cell_mm), "columns",
                     value_count(grid.columns), "rows", value_count(grid.rows), "temp_cc",
                     hundredths(temps_c, cells), "sd_cc",
                     hundredths(sf_field_rise_sd_k(field), cells));
}

/* A sentence of the library's as people read it; null for NULL. */
static json_t *value_sentence(const char *said)
{
    text set = {0};
    if (!said)
        return json_null();
    set_words(&set, said);
    json_t *made = set.failed ? NULL : value_words(set.bytes ? set.bytes : "");
    text_clear(&set);
    return made;
}

/* A part as its table tells it, and what its mark shows. */
static void mark_record(const void *of, size_t row, record *into)
{
    const sf_outcome *outcome = of;
    const sf_part_result *result = &outcome->results[row];
    part_record(of, row, into);
    record_short(into, "left_h", result->left_h);
    record_words(into, "letter", cause_letter(result->cause));
    record_words(into, "cause", cause_text(result->cause));
    record_value(into, "reason", value_sentence(result->reason));
}

static void reading_record(const void *context, size_t row, record *into)
{
    const fitted_readings *readings = context;
    const sf_observation *of = &readings->observations[row];
    const sf_reading_fit *fit = readings->fits[row];
    record_words(into, "id", of->id);
    record_short(into, "x_mm", of->x_mm);
    record_short(into, "y_mm", of->y_mm);
    record_short(into, "temp_c", of->temp_c);
    record_short(into, "sd_k", of->sd_k);
    record_yes_no(into, "in_fit", of->in_fit);
    /* the prediction is a rise; what the instrument would show is over that reading's air */
    record_short(into, "expected_c", of->temp_c - of->rise_k + fit->left_out_k.value);
    record_short(into, "expected_sd_k", fit->left_out_k.sd);
    record_short(into, "doubt", fmax(fabs(fit->score), fit->alone));
    record_yes_no(into, "doubted", sf_reading_doubted(fit));
    record_yes_no(into, "misfit", sf_reading_misfits(fit));
    record_words(into, "remark", of->remark);
    record_count(into, "rows", of->row_count);
    record_short(into, "steady_sd_k", of->steady_sd_k);
}

static json_t *readings_json(const sf_outcome *outcome)
{
    fitted_readings of = {outcome->observations, observation_fits(outcome)};
    json_t *made = of.fits ? records_json(reading_record, &of, outcome->observation_count) : NULL;
    free(of.fits);
    return made;
}

static json_t *sources_json(const sf_outcome *outcome)
{
    size_t count = 0;
    sf_field_sources(outcome->field, &count);
    return records_json(source_record, outcome, count);
}

static json_t *patch_json(const sf_cold_patch *of)
{
    json_t *corners = json_array();
    for (int i = 0; i < 4; i++)
        corners =
            list_append(corners, json_pack("{s:o, s:o}", "x_mm", value_number(of->corners[i].x_mm),
                                           "y_mm", value_number(of->corners[i].y_mm)));
    return json_pack("{s:o, s:o}", "below_k", value_number(of->below_k), "corners", corners);
}

/* Cold metal that the thermogram shows, to be masked; null where there is no thermogram. */
static json_t *patches_json(const sf_pixels *pixels)
{
    json_t *made = pixels ? json_array() : json_null();
    for (size_t i = 0; pixels && i < pixels->patch_count; i++)
        made = list_append(made, patch_json(&pixels->patches[i]));
    return made;
}

/* From where rated life is used up, and the policy's share of it, of the commonest part: null where
 * that divides no temperatures. */
static json_t *life_json(const sf_outcome *outcome)
{
    const sf_zones *zones = outcome->zones;
    return json_pack("{s:o, s:b, s:o, s:o}", "used_up_from_c", value_number(zones->hot_from_c),
                     "used_up_always", zones->hot_from_c == -INFINITY, "share_from_c",
                     value_number(zones->warm_from_c), "share",
                     value_number(outcome->job->policy.zone_warm_used));
}

static json_t *outcome_json(const sf_outcome *outcome)
{
    char *sentence = sf_outcome_sentence(outcome);
    json_t *made = json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "sentence",
        sentence ? value_sentence(sentence) : NULL, "look_first", findings_json(outcome),
        "part_error_k", value_number(sf_outcome_part_error_k(outcome)), "grid",
        grid_json(outcome->field, outcome->temps_c), "parts",
        records_json(mark_record, outcome, outcome->job->part_count), "readings",
        readings_json(outcome), "sources", sources_json(outcome), "cold_patches",
        patches_json(outcome->pixels), "kit",
        records_json(kit_record, outcome->kit, outcome->kit->count), "life", life_json(outcome),
        "left_out_rmse_k", value_number(sf_field_summarize(outcome->field).left_out_rmse_k));
    free(sentence);
    return made;
}

/* Where in the files each diagnostic is, in the order of the diagnostics' texts. */
static void place_record(const void *of, size_t row, record *into)
{
    const sf_diagnostic *items = of, *diagnostic = &items[row];
    record_words(into, "file", diagnostic->file);
    record_count(into, "line", diagnostic->line);
    record_words(into, "column", diagnostic->column);
    record_words(into, "what", diagnostic->what);
    record_words(into, "expected", diagnostic->expected);
    record_yes_no(into, "error", diagnostic->severity == SF_ERROR);
}

json_t *list_places(const sf_diagnostics *diagnostics)
{
    return records_json(place_record, diagnostics->items, diagnostics->count);
}

json_t *view_live(session *of)
{
    const live *now = session_live(of);
    if (now->status == SF_ERROR_MEMORY)
        return NULL;
    return json_pack("{s:o, s:b, s:o, s:o, s:o, s:o}", "stamp", view_stamp(now->stamp), "whole",
                     now->status == SF_OK, "complaints", list_diagnostics(&now->diagnostics),
                     "places", list_places(&now->diagnostics), "can_reach_mm",
                     now->job ? value_number(can_reach_mm(&now->job->policy)) : json_null(),
                     "outcome", now->outcome ? outcome_json(now->outcome) : json_null());
}

/* --- plan --- */

static void point_record(const void *of, size_t row, record *into)
{
    const sf_plan *plan = of;
    plan_record(of, row, into);
    record_value(into, "reason", value_sentence(plan->points[row].reason));
}

/* Before any reading the plan's field is what is to be expected: it is shown as such. */
static json_t *expected_json(const sf_plan *plan, const sf_job *job)
{
    double *temps_c = service_temps_c(job, plan->field);
    json_t *made = temps_c ? grid_json(plan->field, temps_c) : NULL;
    free(temps_c);
    return made;
}

static void take_plan(const sf_plan *plan, const sf_job *job, uint64_t stamp, bool thinking,
                      void *context)
{
    json_t **made = context;
    bool expects = plan && plan->readings == 0;
    *made = json_pack("{s:o, s:b, s:b, s:o, s:o}", "stamp", view_stamp(stamp), "thinking",
                      (int)thinking, "settled", plan && plan->settled, "points",
                      records_json(point_record, plan, plan ? plan->count : 0), "expected",
                      expects ? expected_json(plan, job) : json_null());
}

json_t *view_plan(session *of)
{
    json_t *made = NULL;
    session_plan(of);
    planner_look(of->planner, take_plan, &made);
    return made;
}

/* --- what if --- */

json_t *view_what_if(session *of, const sf_wishes *wishes)
{
    const live *now = session_live(of);
    const sf_outcome *outcome = now->outcome;
    if (!outcome)
        return now->status == SF_ERROR_MEMORY ? NULL : json_null();
    sf_what_if asked = {.air_k = wishes->air_k, .grade_c = wishes->grade_c, .hours = wishes->hours};
    sf_estimate *rises_k = NULL, *shares = NULL;
    sf_part_result *later = NULL;
    sf_status status = rises_at_parts(outcome->job, outcome->field, &rises_k);
    if (status == SF_OK && wishes->fan)
        status = fan_shares_at_parts(outcome->job, outcome->field, &shares);
    asked.rise_shares = shares;
    if (status == SF_OK)
        status = sf_parts_later(outcome->job, rises_k, outcome->results, &asked, &later);
    sf_outcome changed = *outcome;
    changed.results = later;
    json_t *made =
        status == SF_OK ? records_json(mark_record, &changed, outcome->job->part_count) : NULL;
    sf_part_results_free(later, outcome->job->part_count);
    free(rises_k);
    free(shares);
    return made;
}
