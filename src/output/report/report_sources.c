/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Heat sources: how much the readings give each, and which were found or do not hold. */
#include <math.h>

#include "output/report/html.h"
#include "output/report/report.h"

static void add_found(const sf_source_fit *source, text *into)
{
    text_add(into, "<li><strong>");
    html_text(into, source->ref);
    text_add(into, "</strong>: something warm that was not listed, near x ");
    html_number(into, source->x_mm, 0);
    text_add(into, ", y ");
    html_number(into, source->y_mm, 0);
    text_add(into, " mm, about ");
    html_number(into, fmax(source->width_mm, source->height_mm), 0);
    text_add(into, " mm across: look there. The readings give it a chance of ");
    html_chance(into, source->probability);
    text_add(into, ".</li>\n");
}

static void add_contradiction(const sf_source_fit *source, text *into)
{
    text_add(into, "<li><strong>");
    html_text(into, source->ref);
    text_add(into, "</strong> is listed as a heat source, but the readings want it to cool (");
    html_estimate(into, source->rise_k.value, source->rise_k.sd, 1);
    text_add(into, " K). Look at its place, at whether it was working, and at the readings about "
                   "it.</li>\n");
}

static void add_denied(const sf_source_fit *source, double listed_w, text *into)
{
    text_add(into, "<li><strong>");
    html_text(into, source->ref);
    text_add(into, "</strong> is listed at ");
    html_short(into, listed_w);
    text_add(into, " W, but the readings give it ");
    html_estimate(into, source->power_w.value, source->power_w.sd, 2);
    text_add(into,
             " W. Look at the unit, at how much of its heat leaves by a heat sink, and at the "
             "readings about it.</li>\n");
}

/* The listed come first, in the order of the job. */
static void add_notices(const sf_job *job, const sf_source_fit *sources, size_t count, text *into)
{
    size_t notices = 0;
    for (size_t i = 0; i < count; i++)
        notices +=
            !sources[i].listed || sources[i].contradiction || listed_watts_denied(&sources[i]);
    if (notices == 0)
        return;
    text_add(into, "<ul class=\"notices\">\n");
    for (size_t i = 0; i < count; i++) {
        if (!sources[i].listed)
            add_found(&sources[i], into);
        if (sources[i].contradiction)
            add_contradiction(&sources[i], into);
        if (listed_watts_denied(&sources[i]))
            add_denied(&sources[i], job->sources[i].power_w, into);
    }
    text_add(into, "</ul>\n");
}

static void add_source(const sf_source_fit *source, text *into)
{
    text_add(into, "<tr><th scope=\"row\">");
    html_text(into, source->ref);
    text_addf(into, "</th><td>%s</td>",
              source->contradiction         ? "listed, contradicted"
              : listed_watts_denied(source) ? "listed, watts denied"
              : source->listed              ? "listed"
                                            : "found");
    html_cell_place(into, source->x_mm, source->y_mm);
    text_add(into, "<td class=\"number\">");
    html_number(into, source->width_mm, 0);
    text_add(into, " \u00D7 ");
    html_number(into, source->height_mm, 0);
    text_add(into, "</td>");
    html_cell_estimate(into, source->rise_k.value, source->rise_k.sd, 1);
    html_cell_estimate(into, source->power_w.value, source->power_w.sd, 2);
    text_add(into, "<td class=\"number\">");
    if (source->listed)
        text_add(into, "taken as sure");
    else
        html_chance(into, source->probability);
    text_add(into, "</td></tr>\n");
}

void report_sources(const report *shown, text *into)
{
    size_t count = 0;
    const sf_source_fit *sources = sf_field_sources(shown->outcome->field, &count);
    if (count == 0) {
        text_add(into, "<p>This field was made without heat sources.</p>\n");
        return;
    }
    add_notices(shown->outcome->job, sources, count, into);
    text_add(into, "<p>What each source adds to the mean temperature of the board under itself, "
                   "and the heat it puts into the board.</p>\n");
    report_table_open(into, "source-list", "What the readings give each source");
    report_heading(into, "Source", "name", false);
    report_heading(into, "Known", "word", false);
    report_heading(into, "x, y, mm", "number", false);
    report_heading(into, "Size, mm", "number", false);
    report_heading(into, "Rise, K", "number", false);
    report_heading(into, "Heat, W", "number", false);
    report_heading(into, "Chance it is there", "number", false);
    text_add(into, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < count; i++)
        add_source(&sources[i], into);
    report_table_close(into);
}
