/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The table of parts, worst first, with what sorts and filters it. */
#include <math.h>

#include "job/places.h"
#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"

/* The little scale of life used runs to this many rated lives, and is so many units wide. */
static const double scale_lives = 2, scale_width = 90, scale_start = 5;

static double on_scale(double used)
{
    return scale_start + fmin(fmax(used, 0), scale_lives) / scale_lives * scale_width;
}

/* The interval as a line, the median as a dot, a tick where the rated life ends. */
static void add_scale(const sf_part_result *result, text *into)
{
    text_addf(into, PARTS_SCALE, on_scale(1), on_scale(result->used_low),
              on_scale(result->used_high), on_scale(result->used));
}

static void add_used(const sf_part_result *result, text *into)
{
    text_add(into, "<td class=\"number\"");
    html_sort_key(into, result->used);
    html_addf(into, ">%e", result->used);
    if (isfinite(result->used)) {
        html_addf(into, " %% <span class=\"sd\">%e to %e</span>", result->used_low,
                  result->used_high);
        add_scale(result, into);
    }
    text_add(into, "</td>");
}

static void add_marking(const sf_part *part, const sf_part_result *result, text *into)
{
    text_add(into, "<span class=\"marking\">");
    if (isfinite(part->capacitance_uf))
        html_addf(into, "%g \u00B5F ", part->capacitance_uf);
    if (isfinite(part->rated_v))
        html_addf(into, "%g V", part->rated_v);
    html_addf(into, "</span><span class=\"marking\">%g \u00B0C, %G h%s</span>", part->rated_c,
              result->endurance_h, result->endurance_assumed ? " assumed" : "");
    if (part->critical)
        text_add(into, " <span class=\"critical\">critical</span>");
    if (part_on_solder_side(part))
        text_add(into, " <span class=\"marking\">solder side</span>");
}

static void add_left(const sf_part_result *result, double seal_years, text *into)
{
    text_add(into, "<td class=\"number\"");
    html_sort_key(into, result->left_h);
    text_add(into, ">");
    if (result->left_h <= 0) {
        text_add(into, "none");
    } else if (result->age_years >= seal_years) {
        text_add(into, "old seals");
    } else if (result->left_years >= 0.1) {
        html_number(into, result->left_years, result->left_years < 10 ? 1 : 0);
        text_add(into, " years");
    } else {
        html_addf(into, "%G%s", result->left_h, isfinite(result->left_h) ? " h" : "");
    }
    text_add(into, "</td>");
}

static void add_verdict(const sf_part_result *result, const sf_zone *zone, text *into)
{
    const char *verdict = sf_verdict_text(result->verdict);
    html_addf(into, "<td data-sort=\"%d\"><span class=\"verdict %s\">", (int)result->verdict,
              verdict);
    report_mark(into, result->verdict);
    html_addf(into, " %s</span>", verdict);
    if (zone)
        html_addf(into, "<span class=\"zone\">%s</span>", zone->name);
    text_add(into, "</td>");
}

static void add_part(const report *shown, size_t index, text *into)
{
    const sf_part *part = &shown->outcome->job->parts[index];
    const sf_part_result *result = &shown->outcome->results[index];
    html_addf(into, PARTS_PART, index + 1, index + 1, sf_verdict_text(result->verdict), index + 1,
              part->ref);
    add_marking(part, result, into);
    text_add(into, "</th>");
    add_verdict(result, part_zone(shown->outcome, index), into);
    html_cell_estimate(into, result->temp_c, result->temp_sd_k, 1);
    add_used(result, into);
    text_add(into, "<td class=\"number\"");
    html_sort_key(into, result->past_life);
    html_addf(into, ">%a</td>", result->past_life);
    add_left(result, shown->outcome->job->policy.seal_years, into);
    html_addf(into, "<td>%-s</td></tr>\n", result->reason);
}

static void add_choice(const report *shown, sf_verdict verdict, text *into)
{
    const char *word = sf_verdict_text(verdict);
    text_addf(into, "<label><input type=\"checkbox\" value=\"%s\" checked> ", word);
    report_mark(into, verdict);
    text_addf(into, " %s (%zu)</label>\n", word, shown->counts[verdict]);
}

/* Shown by the script, for which they are made. */
static void add_filters(const report *shown, text *into)
{
    text_add(into, PARTS_FILTERS_OPEN);
    add_choice(shown, SF_REPLACE, into);
    add_choice(shown, SF_CHECK, into);
    add_choice(shown, SF_LEAVE, into);
    text_add(into, PARTS_FILTERS_CLOSE);
}

void report_parts(const report *shown, text *into)
{
    size_t parts = shown->outcome->job->part_count;
    if (parts == 0) {
        text_add(into, "<p>No part is listed in parts.csv.</p>\n");
        return;
    }
    text_add(into, PARTS_INTRODUCTION);
    if (parts > REPORT_ROWS_MAX)
        text_addf(into, "<p>The worst %d of %zu; all of them are in parts.csv.</p>\n",
                  REPORT_ROWS_MAX, parts);
    add_filters(shown, into);
    text_add(into, PARTS_LOCATOR);
    report_table_open(into, "part-list",
                      "Parts by verdict, then by the chance that their rated life is used up",
                      PARTS_HEADINGS);
    for (size_t i = 0; i < parts && i < REPORT_ROWS_MAX; i++)
        add_part(shown, shown->order[i], into);
    report_table_close(into);
    text_add(into, "</div>\n");
}
