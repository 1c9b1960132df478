/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings against the field: what fits, what does not, and how far the map can be trusted. */
#include <math.h>
#include <string.h>

#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"
#include "readings/cold.h"

/* Explanations are written out for so many readings; the table marks the others. */
enum { OUTLIERS_MAX = 40 };

/* A clause that so many of the first remarks share is said once, under a letter. */
enum { SHARED_LEAST = 3, LETTERS = 26, COMPARED_MAX = 100 };

typedef struct clause {
    const char *words;
    size_t length;
} clause;

typedef struct shared_clauses {
    clause list[LETTERS];
    size_t count;
} shared_clauses;

/* Both explanations, the likelier first: a lifted bead reads low, an unlisted source high. */
static void add_outlier(const sf_observation *observation, const sf_reading_fit *fit, text *into)
{
    double off_k = observation->rise_k - fit->left_out_k.value;
    bool high = off_k > 0;
    html_addf(into, READINGS_OUTLIER, observation->id, observation->x_mm, observation->y_mm,
              fabs(off_k), high ? "higher" : "lower", fit->score);
    text_add(into, high ? READINGS_TOO_HIGH : READINGS_TOO_LOW);
    text_add(into, " Read it again.</li>\n");
}

static void add_outliers(const report *shown, text *into)
{
    const sf_outcome *outcome = shown->outcome;
    size_t found = 0;
    for (size_t i = 0; i < outcome->observation_count; i++) {
        if (!sf_reading_misfits(shown->fits[i]))
            continue;
        if (found == 0)
            text_add(into, "<ul class=\"notices\">\n");
        if (found++ < OUTLIERS_MAX)
            add_outlier(&outcome->observations[i], shown->fits[i], into);
    }
    if (found > 0)
        text_add(into, "</ul>\n");
    else
        text_add(into, "<p>Every reading fits the others.</p>\n");
    if (found > OUTLIERS_MAX)
        text_addf(into, "<p>%zu readings do not fit; the first %d are named here.</p>\n", found,
                  OUTLIERS_MAX);
}

/* Why a surface that knows nothing of heat can do better than a balance of heat. */
static void add_reasons(const sf_reference *better, text *into)
{
    text_addf(into, "<strong>Here %s is clearly better than the map.</strong> ", better->model);
    if (strcmp(better->model, "heat-balance") == 0)
        text_add(into, "It knows where the heat comes from, so map this board with it.</p>\n");
    else
        text_add(into, READINGS_REASONS);
}

/* What a reference model is, in words. */
static const char *kind_of(const char *model)
{
    if (strcmp(model, "thin-plate") == 0)
        return " (a smooth surface that knows nothing about heat)";
    return strcmp(model, "kriging") == 0
               ? " (a weighted mean of the readings that knows nothing about heat)"
               : "";
}

static void add_reference(const sf_reference *of, text *into)
{
    if (isfinite(of->rmse_k))
        html_addf(into, "; within %.2f K by the reference model %s%s", of->rmse_k, of->model,
                  kind_of(of->model));
    else
        html_addf(into, "; the reference model %s%s could not be fitted", of->model,
                  kind_of(of->model));
}

/* The model that made the map against those that did not. */
static void add_references(const report *shown, text *into)
{
    const sf_outcome *outcome = shown->outcome;
    sf_field_summary summary = sf_field_summarize(outcome->field);
    const sf_reference *best = best_reference(outcome), *better = reference_that_wins(outcome);
    html_addf(into, READINGS_REFERENCES,
              outcome->observation_count > 0 ? "readings" : "cells of the thermogram",
              summary.left_out_rmse_k, summary.model);
    for (size_t i = 0; i < outcome->reference_count; i++)
        add_reference(&outcome->references[i], into);
    if (summary.readings > SF_REFERENCE_READINGS_MOST)
        text_addf(into, ", which use %d of the readings", SF_REFERENCE_READINGS_MOST);
    text_add(into, ". ");
    if (better)
        add_reasons(better, into);
    else if (best && summary.left_out_rmse_k > best->rmse_k)
        text_addf(into,
                  "The map and %s predict about equally well: here the readings alone determine "
                  "the map.</p>\n",
                  best->model);
    else
        text_add(into, best ? "The map predicts best.</p>\n" : "</p>\n");
}

static void add_doubt(const report *shown, text *into)
{
    const sf_pictures *pictures = shown->pictures;
    text_addf(into, READINGS_DOUBT_PICTURE, pictures->frame.width_px, pictures->frame.height_px);
    html_png(into, pictures->doubt_png, pictures->doubt_png_size);
    text_add(into, READINGS_DOUBT_CAPTION);
}

/* Takes the next clause of a remark; false at its end. */
static bool next_clause(const char **rest, clause *next)
{
    if (!**rest)
        return false;
    const char *end = strstr(*rest, "; ");
    *next = (clause){*rest, end ? (size_t)(end - *rest) : strlen(*rest)};
    *rest += next->length + (end ? 2 : 0);
    return true;
}

static bool same_clause(clause a, clause b)
{
    return a.length == b.length && memcmp(a.words, b.words, a.length) == 0;
}

/* Its place among the shared ones; their count where it is none of them. */
static size_t shared_place(const shared_clauses *shared, clause wanted)
{
    size_t i = 0;
    while (i < shared->count && !same_clause(shared->list[i], wanted))
        i++;
    return i;
}

static size_t remarks_with(const sf_observation *list, size_t count, clause wanted)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++) {
        clause next;
        for (const char *rest = list[i].remark; next_clause(&rest, &next);)
            found += same_clause(next, wanted);
    }
    return found;
}

static shared_clauses find_shared(const sf_observation *list, size_t count)
{
    shared_clauses shared = {.count = 0};
    for (size_t i = 0; i < count; i++) {
        clause next;
        for (const char *rest = list[i].remark; next_clause(&rest, &next);)
            if (shared.count < LETTERS && shared_place(&shared, next) == shared.count &&
                remarks_with(list, count, next) >= SHARED_LEAST)
                shared.list[shared.count++] = next;
    }
    return shared;
}

static void add_clause(clause of, text *into)
{
    text words = {0};
    text_add_bytes(&words, of.words, of.length);
    if (words.bytes)
        html_sentence(into, words.bytes);
    into->failed = into->failed || words.failed;
    text_clear(&words);
}

/* What the letters stand for. */
static void add_shared(const shared_clauses *shared, text *into)
{
    if (shared->count == 0)
        return;
    text_add(into, "<p>Remarks that several readings share:");
    for (size_t i = 0; i < shared->count; i++) {
        text_addf(into, "%s <strong>%c</strong> ", i > 0 ? ";" : "", (char)('a' + i));
        add_clause(shared->list[i], into);
    }
    text_add(into, ".</p>\n");
}

static void add_remark(const char *remark, const shared_clauses *shared, text *into)
{
    clause next;
    const char *between = "";
    for (const char *rest = remark; next_clause(&rest, &next); between = "; ") {
        size_t place = shared_place(shared, next);
        text_add(into, between);
        if (place < shared->count)
            text_addf(into, "%c", (char)('a' + place));
        else
            add_clause(next, into);
    }
}

static void add_reading(const sf_observation *observation, const sf_reading_fit *fit,
                        const shared_clauses *shared, text *into)
{
    bool misfits = sf_reading_misfits(fit);
    html_addf(into, READINGS_READING, observation->id, observation->x_mm, observation->y_mm,
              sf_method_text(observation->method), sf_spot_text(observation->spot),
              observation->temp_c);
    html_cell_estimate(into, observation->rise_k, observation->sd_k, 1);
    html_cell_estimate(into, fit->fitted_k.value, fit->fitted_k.sd, 1);
    html_cell_estimate(into, fit->left_out_k.value, fit->left_out_k.sd, 1);
    html_addf(into, "<td class=\"number%s\">%.1f</td><td>", misfits ? " outlier" : "", fit->score);
    if (!observation->in_fit)
        text_add(into, "<span class=\"flag\">not in the fit</span> ");
    if (misfits)
        text_add(into, "<span class=\"flag\">does not fit</span> ");
    add_remark(observation->remark, shared, into);
    text_add(into, "</td></tr>\n");
}

static void add_table(const report *shown, text *into)
{
    const sf_outcome *outcome = shown->outcome;
    size_t rows =
        outcome->observation_count < REPORT_ROWS_MAX ? outcome->observation_count : REPORT_ROWS_MAX;
    shared_clauses shared =
        find_shared(outcome->observations, rows < COMPARED_MAX ? rows : COMPARED_MAX);
    add_shared(&shared, into);
    report_table_open(into, "reading-list", "Readings, corrected", READINGS_HEADINGS);
    for (size_t i = 0; i < rows; i++)
        add_reading(&outcome->observations[i], shown->fits[i], &shared, into);
    report_table_close(into);
}

/* --- what the thermogram gave: pixels, marks, and what is assumed of the camera --- */

static void add_pixels(const sf_outcome *outcome, text *into)
{
    const sf_pixels *pixels = outcome->pixels;
    html_addf(into, THERMOGRAM_PIXELS, outcome->job->thermogram.columns,
              outcome->job->thermogram.rows, pixels->pixel_mm, pixels->covered,
              pixels->from_below ? " from the solder side" : "", (double)pixels->count,
              pixels->least_c, pixels->most_c);
    html_addf(into, THERMOGRAM_LEFT_OUT, (double)pixels->on_bodies, (double)pixels->masked,
              (double)pixels->off_board, (double)pixels->blank);
}

static void add_marks(const sf_pixels *pixels, text *into)
{
    text_addf(into, "<p>%zu marks tie it to the board", pixels->mark_count);
    if (pixels->mark_count == 4)
        text_add(into, ". Four always fit; a fifth would show a slip.</p>\n");
    else
        html_addf(into, " within %.1f mm, root mean square.</p>\n", pixels->marks_rms_mm);
}

static void add_doubts(const sf_pixels *pixels, text *into)
{
    html_addf(into, THERMOGRAM_DOUBTS, pixels->pixel_sd_k, pixels->offset_sd_k,
              100 * pixels->gain_sd);
}

/* Rings ready for mask.csv, numbered after those that are there. */
static void add_patches(const sf_outcome *outcome, text *into)
{
    const sf_pixels *pixels = outcome->pixels;
    size_t number = 0;
    if (pixels->patch_count == 0)
        return;
    for (size_t i = 0; i < outcome->job->mask_count; i++)
        if ((size_t)outcome->job->masks[i].number > number)
            number = (size_t)outcome->job->masks[i].number;
    html_addf(into, THERMOGRAM_PATCHES, (double)pixels->cold);
    for (size_t i = 0; i < pixels->patch_count && i < REPORT_ROWS_MAX; i++) {
        cold_patch_ring(&pixels->patches[i], number + i + 1, "\n", into);
        text_add(into, "\n");
    }
    text_add(into, "</pre>\n");
}

/* Only those whose own emissivity the job gives. */
static void add_bodies(const sf_pixels *pixels, text *into)
{
    if (pixels->body_count == 0)
        return;
    text_add(into, THERMOGRAM_BODIES);
    for (size_t i = 0; i < pixels->body_count && i < REPORT_ROWS_MAX; i++)
        html_addf(into, "%s%s %.1f \u00B0C", i == 0 ? "" : ", ", pixels->bodies[i].ref,
                  pixels->bodies[i].temp_c);
    text_add(into, ".</p>\n");
}

static void report_thermogram(const report *shown, text *into)
{
    if (!shown->outcome->pixels)
        return;
    add_pixels(shown->outcome, into);
    add_marks(shown->outcome->pixels, into);
    add_doubts(shown->outcome->pixels, into);
    add_patches(shown->outcome, into);
    add_bodies(shown->outcome->pixels, into);
}

void report_readings(const report *shown, text *into)
{
    size_t count = shown->outcome->observation_count;
    report_thermogram(shown, into);
    if (count > 0)
        add_outliers(shown, into);
    add_references(shown, into);
    text_add(into, "<div class=\"pair\">\n");
    add_doubt(shown, into);
    report_fit(shown, into);
    text_add(into, "</div>\n");
    if (count == 0)
        return;
    text_add(into, READINGS_SCORE);
    if (count > REPORT_ROWS_MAX)
        text_addf(into, "<p>The first %d of %zu; all of them are in readings.csv.</p>\n",
                  REPORT_ROWS_MAX, count);
    add_table(shown, into);
}
