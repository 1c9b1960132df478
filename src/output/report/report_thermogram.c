/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the thermogram gave: pixels, marks, and what is assumed of the camera. */
#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"
#include "readings/cold.h"

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

void report_thermogram(const report *shown, text *into)
{
    if (!shown->outcome->pixels)
        return;
    add_pixels(shown->outcome, into);
    add_marks(shown->outcome->pixels, into);
    add_doubts(shown->outcome->pixels, into);
    add_patches(shown->outcome, into);
    add_bodies(shown->outcome->pixels, into);
}
