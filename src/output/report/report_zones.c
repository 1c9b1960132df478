/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The zones of the board, each with the sentence that says what to do there. */
#include <math.h>

#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"

/* Where the zones part, and beside them where life runs out for the commonest grade. */
static void add_bounds(const report *shown, text *into)
{
    const sf_zones *zones = shown->outcome->zones;
    const sf_policy *policy = &shown->outcome->job->policy;
    if (isfinite(zones->hot_zone_c))
        html_addf(into, ZONES_BOUNDS, policy->zone_hot_pct, zones->hot_zone_c,
                  policy->zone_cool_pct, zones->warm_zone_c);
    html_addf(into, "<p>The commonest part here is rated %G h at %.0f \u00B0C.", zones->endurance_h,
              zones->rated_c);
    if (zones->hot_from_c == -INFINITY)
        text_add(into, ZONES_USED_UP_ALWAYS);
    if (isfinite(zones->hot_from_c))
        html_addf(into, ZONES_USED_UP_FROM, zones->hot_from_c);
    if (isfinite(zones->warm_from_c))
        html_addf(into, " At %.0f \u00B0C and above it has used more than %e %% of it.",
                  zones->warm_from_c, policy->zone_warm_used);
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
    html_addf(into, ZONES_ZONE, sf_zone_kind_text(zone->kind), zone->name, zone->peak_c,
              zone->peak_x_mm, zone->peak_y_mm, zone->area_mm2 / 100);
    add_tally(zone, SF_REPLACE, into);
    add_tally(zone, SF_CHECK, into);
    add_tally(zone, SF_LEAVE, into);
    html_addf(into, "<td>%-s</td></tr>\n", zone->sentence);
}

/* Zones without a part ask for nothing: a line for all of them. */
static void add_empty(const sf_zones *zones, text *into)
{
    size_t named = 0;
    for (size_t i = 0; i < zones->count; i++) {
        if (zones->zones[i].parts > 0)
            continue;
        text_add(into, named++ == 0 ? "<p>No part here: " : "; ");
        html_addf(into, "%s, up to %.0f \u00B0C", zones->zones[i].name, zones->zones[i].peak_c);
    }
    text_add(into, named > 0 ? ".</p>\n" : "");
}

static void add_table(const sf_zones *zones, text *into)
{
    report_table_open(into, "zone-list", "Zones with parts, hottest first", ZONES_HEADINGS);
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
