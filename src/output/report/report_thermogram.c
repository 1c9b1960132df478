/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the thermogram gave: pixels, marks, and what is assumed of the camera. */
#include "output/report/html.h"
#include "output/report/report.h"
#include "readings/cold.h"

static void add_count(size_t count, const char *what, text *into)
{
    html_grouped(into, (double)count);
    text_add(into, what);
}

static void add_pixels(const sf_outcome *outcome, text *into)
{
    const sf_pixels *pixels = outcome->pixels;
    text_addf(into, "<p>The thermogram of %zu \u00D7 %zu pixels, each ",
              outcome->job->thermogram.columns, outcome->job->thermogram.rows);
    html_number(into, pixels->pixel_mm, 2);
    text_add(into, " mm wide on the board, shows ");
    html_percent(into, pixels->covered);
    text_addf(into, " %% of it%s. ", pixels->from_below ? " from the solder side" : "");
    add_count(pixels->count, " pixels on bare board, from ", into);
    html_number(into, pixels->least_c, 1);
    text_add(into, " to ");
    html_number(into, pixels->most_c, 1);
    text_add(into, " \u00B0C, are in the fit. Left out are ");
    add_count(pixels->on_bodies, " on parts and sources, hidden behind them or beside them, ",
              into);
    add_count(pixels->masked, " masked, ", into);
    add_count(pixels->off_board, " off the board and ", into);
    add_count(pixels->blank,
              " without a temperature: a can is not the board, and bare metal "
              "mirrors the room.</p>\n",
              into);
}

static void add_marks(const sf_pixels *pixels, text *into)
{
    text_addf(into, "<p>%zu marks tie it to the board", pixels->mark_count);
    if (pixels->mark_count == 4) {
        text_add(into, ". Four always fit; a fifth would show a slip.</p>\n");
        return;
    }
    text_add(into, " within ");
    html_number(into, pixels->marks_rms_mm, 1);
    text_add(into, " mm, root mean square.</p>\n");
}

static void add_doubts(const sf_pixels *pixels, text *into)
{
    text_add(into, "<p>Standard uncertainties: ");
    html_number(into, pixels->pixel_sd_k, 2);
    text_add(into, " K of noise in a pixel; ");
    html_number(into, pixels->offset_sd_k, 2);
    text_add(into, " K that all pixels share, by the camera\u2019s calibration and what the board "
                   "mirrors; ");
    html_number(into, 100 * pixels->gain_sd, 1);
    text_add(into, " % of the rise, by the emissivity.</p>\n");
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
    text_add(into, "<p>Colder than a board beside its surroundings can be, and left out: ");
    add_count(pixels->cold,
              " pixels. Bare metal, solder and wires look so. Once you have seen what "
              "they are, put the rings below into mask.csv:</p>\n<pre>ring,x_mm,y_mm\n",
              into);
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
    text_add(into, "<p>Bodies, read amid their tops with their own emissivity, no evidence of the "
                   "board below: ");
    for (size_t i = 0; i < pixels->body_count && i < REPORT_ROWS_MAX; i++) {
        text_add(into, i == 0 ? "" : ", ");
        html_text(into, pixels->bodies[i].ref);
        text_add(into, " ");
        html_number(into, pixels->bodies[i].temp_c, 1);
        text_add(into, " \u00B0C");
    }
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
