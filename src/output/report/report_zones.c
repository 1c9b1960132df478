/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The zones of the board, each with the sentence that says what to do there. */
#include <math.h>

#include "output/report/html.h"
#include "output/report/report.h"

/* Where the zones part, and beside them where life runs out for the commonest grade. */
static void add_bounds(const report *shown, text *into)
{
    const sf_zones *zones = shown->outcome->zones;
    const sf_policy *policy = &shown->outcome->job->policy;
    if (isfinite(zones->hot_zone_c)) {
        text_add(into, "<p>The <em>hot</em> zones are the hottest ");
        html_number(into, policy->zone_hot_pct, 0);
        text_add(into, " % of this board, from ");
        html_number(into, zones->hot_zone_c, 0);
        text_add(into, " \u00B0C; the <em>cool</em> ones its coolest ");
        html_number(into, policy->zone_cool_pct, 0);
        text_add(into, " %, below ");
        html_number(into, zones->warm_zone_c, 0);
        text_add(into, " \u00B0C; the rest is <em>warm</em>.</p>\n");
    }
    text_add(into, "<p>How long the commonest part here lasts is another matter (");
    html_grouped(into, zones->endurance_h);
    text_add(into, " h at ");
    html_number(into, zones->rated_c, 0);
    text_add(into, " \u00B0C).");
    if (zones->hot_from_c == -INFINITY)
        text_add(into, " At any temperature it has used all of its rated life in the hours the "
                       "board has run.");
    if (isfinite(zones->hot_from_c)) {
        text_add(into, " From ");
        html_number(into, zones->hot_from_c, 0);
        text_add(into, " \u00B0C on it has used all of its rated life in the hours the board has "
                       "run.");
    }
    if (isfinite(zones->warm_from_c)) {
        text_add(into, " From ");
        html_number(into, zones->warm_from_c, 0);
        text_add(into, " \u00B0C on it has used more than ");
        html_percent(into, policy->zone_warm_used);
        text_add(into, " % of it.");
    }
    text_add(into, "</p>\n");
}

static void add_tally(const sf_zone *zone, sf_verdict verdict, text *into)
{
    text_add(into, "<td class=\"number\">");
    report_mark(into, verdict);
    text_addf(into, " %zu</td>", zone->verdicts[verdict]);
}

static void add_zone(const sf_zone *zone, text *into)
{
    text_addf(into, "<tr class=\"%s\"><th scope=\"row\">", sf_zone_kind_text(zone->kind));
    html_text(into, zone->name);
    text_add(into, "</th>");
    html_cell_number(into, zone->peak_c, 0);
    html_cell_place(into, zone->peak_x_mm, zone->peak_y_mm);
    html_cell_number(into, zone->area_mm2 / 100, 0);
    add_tally(zone, SF_REPLACE, into);
    add_tally(zone, SF_CHECK, into);
    add_tally(zone, SF_LEAVE, into);
    html_cell_sentence(into, zone->sentence);
    text_add(into, "</tr>\n");
}

/* Zones without a part ask for nothing: a line for all of them. */
static void add_empty(const sf_zones *zones, text *into)
{
    size_t named = 0;
    for (size_t i = 0; i < zones->count; i++) {
        if (zones->zones[i].parts > 0)
            continue;
        text_add(into, named++ == 0 ? "<p>No part here: " : "; ");
        html_text(into, zones->zones[i].name);
        text_add(into, ", up to ");
        html_number(into, zones->zones[i].peak_c, 0);
        text_add(into, " \u00B0C");
    }
    text_add(into, named > 0 ? ".</p>\n" : "");
}

static void add_table(const sf_zones *zones, text *into)
{
    report_table_open(into, "zone-list", "Zones with parts, hottest first");
    report_heading(into, "Zone", "name", false);
    report_heading(into, "Peak, \u00B0C", "number", false);
    report_heading(into, "at x, y, mm", "number", false);
    report_heading(into, "Area, cm\u00B2", "number", false);
    report_heading(into, "Replace", "number", false);
    report_heading(into, "Check", "number", false);
    report_heading(into, "Leave", "number", false);
    report_heading(into, "What to do", "prose", false);
    text_add(into, "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < zones->count; i++)
        if (zones->zones[i].parts > 0)
            add_zone(&zones->zones[i], into);
    report_table_close(into);
}

void report_zones(const report *shown, text *into)
{
    const sf_zones *zones = shown->outcome->zones;
    if (zones->count == 0) {
        text_add(into, "<p>The board was not divided into zones.</p>\n");
        return;
    }
    size_t parts = 0;
    for (size_t i = 0; i < zones->count; i++)
        parts += zones->zones[i].parts;
    add_bounds(shown, into);
    if (parts > 0)
        add_table(zones, into);
    add_empty(zones, into);
}
