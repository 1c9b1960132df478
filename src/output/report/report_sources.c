/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Heat sources: how much the readings give each, and which were found or do not hold. */
#include <math.h>
#include <stdlib.h>

#include "field/warnings.h"
#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"
#include "survey/facts.h"

static void add_found(const sf_outcome *outcome, const sf_source_fit *source, text *into)
{
    size_t count;
    const sf_reading_fit *fits = sf_field_readings(outcome->field, &count);
    char *step = found_next_step(source, outcome->observations, fits, count);
    html_addf(into, SOURCES_FOUND, source->ref, source->x_mm, source->y_mm,
              fmax(source->width_mm, source->height_mm), step ? step : "", source->probability);
    into->failed = into->failed || !step;
    free(step);
}

static void add_contradiction(const sf_source_fit *source, text *into)
{
    html_addf(into, SOURCES_CONTRADICTION, source->ref);
    html_estimate(into, source->rise_k.value, source->rise_k.sd, 1);
    text_add(into, SOURCES_CONTRADICTION_ASKS);
}

static void add_denied(const sf_source_fit *source, double listed_w, text *into)
{
    html_addf(into, "<li><strong>%s</strong> is listed at %g W, but the readings give it ",
              source->ref, listed_w);
    html_estimate(into, source->power_w.value, source->power_w.sd, 2);
    text_add(into, SOURCES_DENIED);
}

/* The listed come first, in the order of the job. */
static void add_notices(const sf_outcome *outcome, const sf_source_fit *sources, size_t count,
                        text *into)
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
            add_found(outcome, &sources[i], into);
        if (sources[i].contradiction)
            add_contradiction(&sources[i], into);
        if (listed_watts_denied(&sources[i]))
            add_denied(&sources[i], outcome->job->sources[i].power_w, into);
    }
    text_add(into, "</ul>\n");
}

static void add_source(const sf_job *job, const sf_source_fit *source, text *into)
{
    html_addf(into, "<tr><th scope=\"row\">%s", source->ref);
    if (source_side(job, source) == SF_SIDE_SOLDER)
        text_add(into, " <span class=\"marking\">solder side</span>");
    html_addf(into, SOURCES_SOURCE,
              source->contradiction         ? "listed, contradicted"
              : listed_watts_denied(source) ? "listed, power contradicted"
              : source->listed              ? "listed"
                                            : "found",
              source->x_mm, source->y_mm, source->width_mm, source->height_mm);
    html_cell_estimate(into, source->rise_k.value, source->rise_k.sd, 1);
    html_cell_estimate(into, source->power_w.value, source->power_w.sd, 2);
    text_add(into, "<td class=\"number\">");
    if (source->listed)
        text_add(into, "taken as certain");
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
    add_notices(shown->outcome, sources, count, into);
    text_add(into, SOURCES_INTRODUCTION);
    report_table_open(into, "source-list", "What the readings give each source", SOURCES_HEADINGS);
    for (size_t i = 0; i < count; i++)
        add_source(shown->outcome->job, &sources[i], into);
    report_table_close(into);
}
